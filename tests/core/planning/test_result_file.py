"""A plan written as a file and read back is the same plan."""

import pytest

from app.core.planning.reading import BadFileError
from app.core.planning.result_file import Plan, PlannedLot, PlannedRun, read_plan, write_plan

PLAN = Plan(
    status="partly planned",
    makespan=100,
    weighted_tardiness=20,
    late=1,
    lots=(PlannedLot("L1", "planned", 100), PlannedLot("L2", "held", None, "On hold.")),
    operations=(PlannedRun("L1", 0, "M1", 0, 100, 5, 10, 3, under_way=True), PlannedRun("L1", 1, None, 100, 100)),
)


def test_a_plan_written_and_read_back_is_the_same() -> None:
    assert read_plan(write_plan(PLAN)) == PLAN


@pytest.mark.parametrize("text", ["[]", "{}", "nonsense", '{"format": "lotwright plan", "version": 1}'])
def test_what_is_no_plan_is_refused(text: str) -> None:
    with pytest.raises(BadFileError):
        read_plan(text)


def test_a_wrong_value_is_named_by_its_path() -> None:
    with pytest.raises(BadFileError, match=r"operations\[0\]\.start: must be a whole number"):
        read_plan(write_plan(PLAN).replace('"start": 0', '"start": "0"'))
