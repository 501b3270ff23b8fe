"""Tests of one group share what is slow to make: on two workers each would make it."""

import pytest


@pytest.mark.xdist_group("one worker")
def test_workers_are_told_of_groups(request: pytest.FixtureRequest) -> None:
    by_groups = request.config.getoption("loadgroup", default=False)
    assert request.node.nodeid.endswith("@one worker") is by_groups
