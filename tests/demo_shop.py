"""The demo shop for tests: built once by all runs of ``python3 tests``, which it takes half a minute to build."""

import os
import shutil
from datetime import UTC, datetime
from pathlib import Path

from app.config import Config
from seed_demo.build import build

PRESENT = datetime(2026, 11, 25, 15, 0, tzinfo=UTC)
HANDED_ON = "LOTWRIGHT_TESTS_DEMO"
"""The folder in which a run leaves what it built for the next one."""
NAME = "demo.sqlite3"


def build_once(config: Config, folder: Path) -> None:
    """Have the demo shop of ``PRESENT`` as ``NAME`` in a folder, with what lies beside it: an earlier run's, or new.

    Args:
        config: where the database is to be.
        folder: its folder.
    """
    shelf = os.environ.get(HANDED_ON)
    if shelf is not None and (Path(shelf) / NAME).exists():
        shutil.copytree(shelf, folder, dirs_exist_ok=True)
        return
    build(config, PRESENT)
    if shelf is not None:
        shutil.copytree(folder, shelf, dirs_exist_ok=True)
