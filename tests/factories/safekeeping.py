"""Paper files and backups as an owner would set them."""

from datetime import datetime, time
from pathlib import Path

from sqlalchemy import orm

from app.safekeeping.models import Kept, Safekeeping
from app.safekeeping.services import Wanted, change_safekeeping

WORKING_WEEK = (0, 1, 2, 3, 4)


def want_paper(session: orm.Session, folder: Path, now: datetime, **more: object) -> Safekeeping:
    """Choose paper files at 06:00 and 14:00 on working days."""
    chosen = {"times": (time(6), time(14)), "weekdays": WORKING_WEEK, "on_closed_days": False, **more}
    folder.mkdir(exist_ok=True)
    return change_safekeeping(session, Wanted(Kept.PAPER, str(folder), **chosen), now)


def want_backup(session: orm.Session, folder: Path, now: datetime, **more: object) -> Safekeeping:
    """Choose a backup each day at 18:30, of which three stay."""
    chosen = {"times": (time(18, 30),), "most_kept": 3, **more}
    folder.mkdir(exist_ok=True)
    return change_safekeeping(session, Wanted(Kept.BACKUP, str(folder), **chosen), now)
