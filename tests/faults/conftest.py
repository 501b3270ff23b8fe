"""Real processes on a database of their own, and a patient way to wait for what they do."""

import time
from collections.abc import Callable

import pytest

from app.config import Config

PATIENCE_S = 60


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
