"""The compiled kernels, which take a minute to compile: once for all tests that ask for them."""

import os

import pytest

from app.core.chances.compiled import replayer
from app.core.chances.simulation import Replayer


@pytest.fixture(scope="session")
def compiled_replayer() -> Replayer:
    """Return the compiled replications with the decoder and the search among them; skip where there is no numba."""
    found = replayer()
    if found is None:
        if "fast" in os.environ.get("LOTWRIGHT_TESTS_REQUIRE", ""):
            pytest.fail("numba, of the extra 'fast', is not installed")
        pytest.skip("numba, of the extra 'fast', is not installed")
    return found
