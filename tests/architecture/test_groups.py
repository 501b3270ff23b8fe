"""How ``python3 tests`` shares the tests out and where it looks for journeys: none is lost, nothing made twice."""

from pathlib import Path

import pytest

from tests.__main__ import WALKED

ROOT = Path(__file__).parent.parent.parent


@pytest.mark.xdist_group("one worker")
def test_workers_are_told_of_groups(request: pytest.FixtureRequest) -> None:
    """Tests of one group share what is slow to make: on two workers each would make it."""
    by_groups = request.config.getoption("loadgroup", default=False)
    assert request.node.nodeid.endswith("@one worker") is by_groups


def test_no_journey_lies_where_nobody_looks_for_it() -> None:
    modules = {path: path.read_text(encoding="utf-8") for path in (ROOT / "tests").rglob("test_*.py")}
    journeys = [path for path, text in modules.items() if "mark.browser" in text or "from tests.browser" in text]
    looked_in = [ROOT / folder for folder in WALKED]
    lost = [path for path in journeys if path != Path(__file__) and not any(each in path.parents for each in looked_in)]
    assert len(journeys) > 1
    assert lost == []
