"""``python -m app.schedule.planner STAGE FOLDER``: the process that compiles beside a planner; see ``compiling``."""

import os
import sys
import threading
from pathlib import Path

from app.core.chances import compiled
from app.schedule.planner.compiling import WARM, Stage
from app.shared import companion


def compile_for(stage: Stage, folder: Path) -> None:
    """Compile the kernels of a stage and keep their machine code in a folder; end when standard input does."""
    companion.prepare("compiler")
    companion.let_others_go_first()
    threading.Thread(target=_end_with_parent, daemon=True).start()
    replayer = compiled.replayer(folder)
    if replayer is not None:
        WARM[stage](replayer)


def _end_with_parent() -> None:
    os.read(sys.stdin.fileno(), 1)  # nothing is ever sent: what comes is the end
    os._exit(1)


compile_for(Stage(sys.argv[1]), Path(sys.argv[2]))
