"""The compiled kernels made ready: in a process of its own where no machine code of them is kept yet.

The compiler holds the interpreter's lock most of the time: in the planner's process it made whoever asked meanwhile
wait for twice as long.
"""

import subprocess
import sys
from collections.abc import Callable, Mapping
from enum import StrEnum
from importlib.metadata import PackageNotFoundError
from pathlib import Path
from typing import Final

from app.core.chances.simulation import Replayer
from app.core.chances.warming import warm_answers, warm_searches
from app.core.planning.compiled import own_folder

ROOT: Final = Path(__file__).parents[3]


class Stage(StrEnum):
    """What the kernels of a stage compute; its name marks a folder in which their machine code is complete."""

    ANSWERS = "answers"
    SEARCHES = "searches"


WARM: Final[Mapping[Stage, Callable[[Replayer], None]]] = {Stage.ANSWERS: warm_answers, Stage.SEARCHES: warm_searches}


def is_kept(folder: Path) -> bool:
    """Say whether a folder has machine code of all kernels, which loads in a second."""
    try:
        return all((own_folder(folder) / stage).exists() for stage in Stage)
    except PackageNotFoundError:  # without numba there is none
        return False


def make_ready(stage: Stage, replayer: Replayer, folder: Path) -> None:
    """Return when the kernels of a stage run at full speed in this process; the first time that takes a minute.

    Where the other process fails they are compiled in this one.
    """
    mark = own_folder(folder) / stage
    if not mark.exists():
        _compile_aside(stage, folder)
    WARM[stage](replayer)
    mark.touch()


def _compile_aside(stage: Stage, folder: Path) -> None:
    """Wait for a process that compiles; it ends with this one, whose end of its pipe closes then.

    Not one of ``multiprocessing``: it lets a companion, which it ends at the interpreter's exit, have none of its own.
    """
    command = [sys.executable, "-m", __package__, stage, str(folder.resolve())]
    with subprocess.Popen(command, stdin=subprocess.PIPE, cwd=ROOT) as aside:  # noqa: S603 - this interpreter, no shell
        aside.wait()
