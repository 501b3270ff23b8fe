"""The demo's paper files and backups, in folders beside its database."""

from datetime import datetime, time
from pathlib import Path

from sqlalchemy import orm

from app.config import Config
from app.keeper.process import Keeper
from app.safekeeping.models import Kept
from app.safekeeping.services import Wanted, change_safekeeping
from app.shared.database import make_engine
from app.shared.errors import RefusedError

WORKING_WEEK = (0, 1, 2, 3, 4)
PAPER_TIMES = (time(5, 45), time(13, 45))
BACKUP_TIME = time(18, 30)
BACKUPS_KEPT = 7


def keep_safe(config: Config, target: Path, now: datetime) -> None:
    """Choose folders and times as an owner would, and let the keeper write the first of each.

    Args:
        config: the database as it is being built.
        target: where the database will be; the folders lie beside it.
        now: the demo's present.
    """
    paper, backups = (target.with_name(f"{target.stem}-{name}") for name in ("paper", "backups"))
    for folder in (paper, backups):
        folder.mkdir(exist_ok=True)
    engine = make_engine(config.database_url)
    try:
        with orm.Session(engine) as session:
            change_safekeeping(session, Wanted(Kept.PAPER, str(paper), PAPER_TIMES, WORKING_WEEK, False), now)
            daily = Wanted(Kept.BACKUP, str(backups), (BACKUP_TIME,), most_kept=BACKUPS_KEPT)
            change_safekeeping(session, daily, now)
    except RefusedError as refused:  # the database was put into the program's own folder: then there are none
        print(f"No paper files and no backup for the demo: {refused}")
    finally:
        engine.dispose()
    keeper = Keeper(config, holder="demo", clock=lambda: now)
    keeper.wake()
    keeper.leave()
