"""The planner's kernels are compiled aside once, and from then on only loaded."""

import subprocess
import sys
from dataclasses import fields, replace

import pytest

from app.core.chances.simulation import PLAIN_REPLAYER
from app.core.planning.decoding import PLAIN
from app.schedule.planner import compiling
from app.schedule.planner.compiling import Stage, is_kept, make_ready

pytest.importorskip("numba", reason="needs numba, of the extra 'fast'")


@pytest.fixture
def aside(monkeypatch):
    """Return the stages that another process was asked to compile; the kernels themselves stay plain."""
    asked = []
    monkeypatch.setattr(compiling, "_compile_aside", lambda stage, _folder: asked.append(stage))
    monkeypatch.setattr(compiling.compiled, "replayer", lambda _folder: PLAIN_REPLAYER)
    return asked


def test_each_stage_is_compiled_aside_once_and_then_kept(tmp_path, aside):
    compiling.own_folder(tmp_path).mkdir()
    for _ in range(2):
        assert make_ready(Stage.ANSWERS, tmp_path) is PLAIN_REPLAYER
    assert aside == [Stage.ANSWERS]
    assert not is_kept(Stage.SEARCHES, tmp_path)
    make_ready(Stage.SEARCHES, tmp_path)
    assert aside == [Stage.ANSWERS, Stage.SEARCHES]
    assert is_kept(Stage.SEARCHES, tmp_path)


def test_without_numba_nothing_is_compiled(tmp_path, aside, monkeypatch):
    monkeypatch.setattr(compiling, "find_spec", lambda _name: None)
    assert make_ready(Stage.ANSWERS, tmp_path) is None
    assert aside == []


def called(warm):
    """Return the names of the kernels of the engine that getting a stage ready calls."""
    names = set()

    def noting(name, kernel):
        def call(*arguments):
            names.add(name)
            return kernel(*arguments)

        return call

    kernels = {each.name: getattr(PLAIN, each.name) for each in fields(PLAIN) if each.name != "array"}
    warm(replace(PLAIN_REPLAYER, engine=replace(PLAIN, **{n: noting(n, kernel) for n, kernel in kernels.items()})))
    return names


def test_what_the_planner_searches_with_is_called_once():
    assert called(compiling.WARM[Stage.SEARCHES]) >= {"play", "play_by_rule", "begin_ranks", "anneal_ranks"}


def test_what_is_compiled_beside_some_work_ends_with_it(tmp_path, monkeypatch):
    begun = []
    begin = compiling._begin_aside
    monkeypatch.setattr(compiling, "_begin_aside", lambda *asked: begun.append(begin(*asked)) or begun[-1])
    with compiling.compiling_beside(tmp_path):
        assert begun[0].poll() is None
    assert begun[0].poll() is not None


def test_the_process_aside_ends_when_nobody_holds_its_pipe_any_more(tmp_path):
    command = [sys.executable, "-m", "app.schedule.planner", Stage.ANSWERS, str(tmp_path)]
    with subprocess.Popen(command, stdin=subprocess.PIPE, cwd=compiling.ROOT) as process:
        process.stdin.close()
        assert process.wait(120) == 1
