"""Replacing a set of files so that whoever reads the folder always finds one whole set."""

import os
import re
import secrets
import shutil
import time
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import count
from pathlib import Path
from typing import Final

INDEX: Final = "index.html"
_SET = re.compile(r"lotwright-\d{4}-\d{2}-\d{2}-\d{4}(-\d+)?")
_UNFINISHED: Final = ".unfinished-lotwright-"
_TRIES: Final = 20
_BETWEEN_TRIES_S: Final = 0.1


@dataclass(frozen=True, slots=True)
class PageFile:
    """One file of a set."""

    name: str
    text: str


def free_name(folder: Path, stamp: str) -> str:
    """Return a name for a new set that no other has: ``lotwright-2026-01-07-0600``, or with ``-2`` behind it."""
    names = (f"lotwright-{stamp}{'' if number == 1 else f'-{number}'}" for number in count(1))
    return next(name for name in names if not (folder / name).exists())


def replace_set(folder: Path, name: str, files: Iterable[PageFile], index: str) -> None:
    """Write a set of files into a new folder ``name`` in ``folder``, then let the index show it, then drop older sets.

    The files lie under another name until all are written. The index is one file and changes in one step, so a reader
    sees the old set or the new one. One writer at a time may work on a folder.

    Raises:
        OSError: something could not be written; the set before is still there, whole.
    """
    unfinished = folder / f"{_UNFINISHED}{secrets.token_hex(4)}"
    new_index = unfinished.with_suffix(".html")
    try:
        unfinished.mkdir()
        for file in files:
            _write(unfinished / file.name, file.text)
        _write(new_index, index)
        _put_in_place(unfinished, folder / name)
        _put_in_place(new_index, folder / INDEX)
    except BaseException:
        shutil.rmtree(unfinished, ignore_errors=True)
        _remove(new_index)
        raise
    _drop_others(folder, name)


def _write(file: Path, text: str) -> None:
    with file.open("w", encoding="utf-8", newline="\n") as opened:
        opened.write(text)
        opened.flush()
        os.fsync(opened.fileno())  # the power may go next; then the index must not lead to files that are empty


def _put_in_place(new: Path, place: Path) -> None:
    """Give what is written its place; Windows refuses while another program reads there, so it is tried for a while."""
    for _ in range(_TRIES):
        try:
            new.replace(place)
            return
        except PermissionError:
            time.sleep(_BETWEEN_TRIES_S)
    new.replace(place)


def _drop_others(folder: Path, name: str) -> None:
    """Remove older sets, and what a writer that was killed has left; what another program holds goes the next time."""
    for each in folder.iterdir():
        if each.name != name and (_SET.fullmatch(each.name) or each.name.startswith(_UNFINISHED)):
            _remove(each)


def _remove(path: Path) -> None:
    if path.is_dir():
        shutil.rmtree(path, ignore_errors=True)
        return
    try:
        path.unlink(missing_ok=True)
    except OSError:  # its drive is gone, or another program reads it; the next set removes it
        return
