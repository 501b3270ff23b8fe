"""The planner's kernels are compiled aside once, and from then on only loaded."""

import subprocess
import sys

import pytest

from app.core.chances.simulation import PLAIN_REPLAYER
from app.schedule.planner import compiling
from app.schedule.planner.compiling import Stage, is_kept, make_ready

pytest.importorskip("numba", reason="needs numba, of the extra 'fast'")


@pytest.fixture
def aside(monkeypatch):
    """Return the stages that another process was asked to compile."""
    asked = []
    monkeypatch.setattr(compiling, "_compile_aside", lambda stage, _folder: asked.append(stage))
    return asked


def test_each_stage_is_compiled_aside_once_and_then_kept(tmp_path, aside):
    compiling.own_folder(tmp_path).mkdir()
    for _ in range(2):
        make_ready(Stage.ANSWERS, PLAIN_REPLAYER, tmp_path)
    assert aside == [Stage.ANSWERS]
    assert not is_kept(tmp_path)
    make_ready(Stage.SEARCHES, PLAIN_REPLAYER, tmp_path)
    assert aside == [Stage.ANSWERS, Stage.SEARCHES]
    assert is_kept(tmp_path)


def test_the_process_aside_ends_when_nobody_holds_its_pipe_any_more(tmp_path):
    command = [sys.executable, "-m", "app.schedule.planner", Stage.ANSWERS, str(tmp_path)]
    with subprocess.Popen(command, stdin=subprocess.PIPE, cwd=compiling.ROOT) as process:
        process.stdin.close()
        assert process.wait(120) == 1
