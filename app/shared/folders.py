"""Folders that a person chose: whether they can be used, and in plain words why something there failed."""

import errno
import sqlite3
import tempfile
from pathlib import Path

from app.shared.errors import PlainError
from app.shared.words import gettext

_FULL = {errno.ENOSPC, errno.EDQUOT} if hasattr(errno, "EDQUOT") else {errno.ENOSPC}
_MISSING = {errno.ENOENT, errno.ENOTDIR, errno.ENODEV}
_REFUSED = {errno.EACCES, errno.EPERM, errno.EROFS}
_WINDOWS_DISK_FULL = 112


class FolderError(PlainError):
    """A folder that cannot be used."""


def usable_folder(typed: str, *, checkout: Path) -> Path:
    """Return the folder that a person typed, after writing and removing a file in it.

    Args:
        typed: the whole path; ``~`` stands for the user's own folder.
        checkout: the program's own folder, in which nothing may be kept.

    Raises:
        FolderError: it is no whole path, no folder, inside ``checkout``, or cannot be written to.
    """
    try:
        folder = Path(typed).expanduser()
        if not folder.is_absolute():
            raise FolderError(
                gettext("Type the whole path of the folder, such as D:\\Shop\\Paper or /home/shop/paper.")
            )
        if not folder.is_dir():
            raise FolderError(_no_folder(folder))
        folder = folder.resolve()
        if folder.is_relative_to(checkout.resolve()):
            raise FolderError(
                gettext("This folder is inside Lotwright's own folder, which an update may replace. Choose another.")
            )
        with tempfile.NamedTemporaryFile(dir=folder, prefix=".lotwright-"):
            pass
    except (OSError, ValueError, RuntimeError) as error:  # RuntimeError: no user of whom ~ could be the folder
        raise FolderError(plain_reason(error, Path(typed))) from error
    return folder


def _no_folder(folder: Path) -> str:
    if folder.exists():
        return gettext("%(path)s is a file. Type the folder it is in, or another.", path=folder)
    return gettext(
        "There is no folder %(path)s. Make it first, or correct the name; is its drive plugged in?", path=folder
    )


def plain_reason(error: Exception, folder: Path) -> str:
    """Say in plain words why reading or writing in ``folder`` failed."""
    if _is_full(error):
        return gettext("The disk of %(path)s is full. Make room there, or choose another folder.", path=folder)
    number = error.errno if isinstance(error, OSError) else None
    if number in _MISSING:
        return gettext("The folder %(path)s is not there. Is its drive plugged in?", path=folder)
    if number in _REFUSED:
        return gettext("Lotwright may not write to %(path)s. Change who may write there.", path=folder)
    said = error.strerror if isinstance(error, OSError) else str(error)
    return gettext("Writing to %(path)s failed: %(reason)s.", path=folder, reason=(said or str(error)).rstrip("."))


def _is_full(error: Exception) -> bool:
    if isinstance(error, OSError):
        return error.errno in _FULL or getattr(error, "winerror", None) == _WINDOWS_DISK_FULL
    return isinstance(error, sqlite3.Error) and getattr(error, "sqlite_errorcode", None) == sqlite3.SQLITE_FULL
