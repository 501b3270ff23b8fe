"""The compiled kernels made ready: in a process of its own where no machine code of them is kept yet.

The compiler holds the interpreter's lock most of the time: in the planner's process it made whoever asked meanwhile
wait for twice as long.
"""

import subprocess
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from enum import StrEnum
from importlib.metadata import PackageNotFoundError
from importlib.util import find_spec
from pathlib import Path
from typing import Final

from app.core.chances import compiled
from app.core.chances.simulation import Replayer
from app.core.chances.warming import warm_answers, warm_searches
from app.core.planning.compiled import own_folder

ROOT: Final = Path(__file__).parents[3]


class Stage(StrEnum):
    """What the kernels of a stage compute; its name marks a folder in which their machine code is complete."""

    ANSWERS = "answers"
    SEARCHES = "searches"


WARM: Final[Mapping[Stage, Callable[[Replayer], None]]] = {Stage.ANSWERS: warm_answers, Stage.SEARCHES: warm_searches}


def is_kept(stage: Stage, folder: Path) -> bool:
    """Say whether a folder has machine code of all kernels of a stage, which loads in a second."""
    try:
        return (own_folder(folder) / stage).exists()
    except PackageNotFoundError:  # without numba there is none
        return False


def make_ready(stage: Stage, folder: Path) -> Replayer | None:
    """Return the compiled kernels when those of a stage run at full speed in this process, None without numba.

    The first time that takes a minute. Where the other process fails they are compiled in this one. numba is loaded
    last: it takes a third of a second that whoever asks meanwhile would wait for.
    """
    if find_spec("numba") is None:
        return None
    if not is_kept(stage, folder):
        _compile_aside(stage, folder)
    replayer = compiled.replayer(folder)
    if replayer is not None:
        WARM[stage](replayer)
        (own_folder(folder) / stage).touch()
    return replayer


@contextmanager
def compiling_beside(folder: Path) -> Iterator[None]:
    """Have the kernels that people wait for compiled meanwhile; what is not ready at the end is done by the planner.

    Each function is kept as soon as it is compiled, so that nothing is done twice.
    """
    with _begin_aside(Stage.ANSWERS, folder) as aside:
        try:
            yield
        finally:
            aside.kill()


def _compile_aside(stage: Stage, folder: Path) -> None:
    """Wait for a process that compiles."""
    with _begin_aside(stage, folder) as aside:
        aside.wait()


def _begin_aside(stage: Stage, folder: Path) -> subprocess.Popen[bytes]:
    """Begin a process that compiles; it ends with this one, whose end of its pipe closes then.

    Not one of ``multiprocessing``: it lets a companion, which it ends at the interpreter's exit, have none of its own.
    """
    command = [sys.executable, "-m", __package__, stage, str(folder.resolve())]
    # On Windows, where a process cannot be nice, it is begun as one that others go before.
    behind = getattr(subprocess, "BELOW_NORMAL_PRIORITY_CLASS", 0)
    return subprocess.Popen(  # noqa: S603 - this interpreter, no shell
        command, stdin=subprocess.PIPE, cwd=ROOT, creationflags=behind
    )
