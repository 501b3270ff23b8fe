"""Real processes on a database of their own, and a patient way to wait for what they do."""

import os
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from app.config import Config

PATIENCE_S = 60
ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def config(database_url, tmp_path) -> Config:
    return Config(database_url=database_url, data_folder=tmp_path, secret_key="for tests", testing=True)


@pytest.fixture
def until() -> Callable[[Callable[[], object]], object]:
    """Return a way to wait until something is true; only a fault takes all the patience, so time decides nothing."""

    def wait(done: Callable[[], object]) -> object:
        deadline = time.monotonic() + PATIENCE_S
        while not (found := done()):
            assert time.monotonic() < deadline, "it never became true"
            time.sleep(0.05)
        return found

    return wait


PARENT = """
import importlib
import sys
from pathlib import Path
from app.config import Config

if __name__ == "__main__":
    start = importlib.import_module(sys.argv[3]).start
    process = start(Config(database_url=sys.argv[1], data_folder=Path(sys.argv[2]), secret_key="x", testing=True))
    print(process.pid, flush=True)
    sys.stdin.read()
"""


@pytest.fixture
def parent_of(config, tmp_path) -> Callable[[str], subprocess.Popen[str]]:
    """Start a process that is the parent of a companion of some module, and says the number of its process."""
    script = tmp_path / "parent.py"
    script.write_text(PARENT)

    def started(module: str) -> subprocess.Popen[str]:
        return subprocess.Popen(
            [sys.executable, str(script), config.database_url, str(tmp_path), module],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
        )

    return started
