"""The daily backup: named by its day and time, and the oldest go when there are enough."""

import re
from datetime import datetime
from itertools import count
from pathlib import Path

import sqlalchemy as sa

from app.keeper.file_names import plain_name
from app.shared.backups import backup_suffix, make_backup
from app.shared.progress import Progress, silent


def write_backup(url: sa.URL, folder: Path, stem: str, local: datetime, tell: Progress = silent) -> str:
    """Back the database up into a new file in ``folder`` and return its name: ``harbor-lane-2026-01-07-1830.sqlite3``.

    Args:
        url: the database.
        folder: where the file goes.
        stem: what its name begins with, such as the shop's name.
        local: the present on the shop's wall clock.
        tell: told how much is copied.

    Raises:
        BackupError: it could not be made; nothing half-done is left.
    """
    start = f"{_stem(stem)}-{local:%Y-%m-%d-%H%M}"
    names = (f"{start}{'' if number == 1 else f'-{number}'}.{backup_suffix(url)}" for number in count(1))
    file = next(folder / name for name in names if not (folder / name).exists())
    make_backup(url, file, tell)
    return file.name


def drop_oldest(folder: Path, stem: str, most_kept: int) -> None:
    """Remove the oldest backups of this shop beyond so many; files of other names are nobody's business.

    Raises:
        OSError: one could not be removed.
    """
    ours = re.compile(rf"{re.escape(_stem(stem))}-\d{{4}}-\d{{2}}-\d{{2}}-\d{{4}}(-\d+)?\.(sqlite3|dump)")
    found = [each for each in folder.iterdir() if ours.fullmatch(each.name)]
    found.sort(key=lambda each: each.stat().st_mtime_ns, reverse=True)
    for each in found[most_kept:]:
        each.unlink()


def _stem(stem: str) -> str:
    return plain_name(stem) or "shop"
