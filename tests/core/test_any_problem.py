"""A planning problem is read in each of its forms, and what is none of them is refused by name."""

import json
from fractions import Fraction

import pytest

from app.core.any_problem import read_any_problem
from app.core.job_shop_text import JobShopTextError
from app.core.plan_check import check
from app.core.planning.problem_file import write_problem
from app.core.planning.reading import BadFileError
from app.core.shop import SinglePiece
from tests.core.plan_check.plans import forecast_plan
from tests.core.shops import lot, operation, shop, single, station

CASE = {
    "name": "by hand",
    "calendars": [[[420, 690], [720, 930]], [[0, 10_000]]],
    "station_calendar": [1, 0],
    "lots": [
        {"release": 30, "due": 960, "weight": 2, "operations": [[1, 300], [0, 45]]},
        {"release": 0, "due": 600, "weight": 1, "operations": [[0, 60]]},
    ],
}


def test_a_problem_file_a_case_and_a_published_instance_are_told_apart():
    problem = shop([station("M")], lot("L", operation("10", single(1), waiting=1)))
    assert [one.key for one in read_any_problem(write_problem(problem)).lots] == ["L"]
    assert [one.key for one in read_any_problem(json.dumps(CASE)).lots] == ["0", "1"]
    read = read_any_problem("1 2\n0 3 1 4\n", due_factor=Fraction("1.5"))
    assert [(one.due, one.weight) for one in read.lots] == [(10, 4)]


def test_a_minute_of_a_case_is_sixty_seconds():
    read = read_any_problem(json.dumps(CASE))
    first = read.lots[0]
    assert (read.now, first.released, first.due, first.weight) == (0, 1_800, 57_600, 2)
    assert [(one.work_center, one.taking) for one in first.operations] == [
        ("1", SinglePiece(300 * 60_000)),
        ("0", SinglePiece(45 * 60_000)),
    ]
    assert read.stations[1].calendar.finish(420 * 60, 300 * 60) == (720 + 30) * 60
    assert not read.stations[1].calendar.is_open(700 * 60)


def test_work_that_the_calendars_of_a_case_do_not_hold_has_no_open_hours():
    short = CASE | {"calendars": [[[420, 690]], [[0, 10_000]]]}
    read = read_any_problem(json.dumps(short))
    plan = forecast_plan(read)
    assert [one.status for one in plan.lots if one.lot == "0"] == ["no open hours"]
    assert check(read, plan) == ()


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"station_calendar": [1, 2]}, r"station_calendar\[1\]: there is no calendar 2; there are 2, from 0"),
        ({"calendars": [[[690, 420]], []]}, r"calendars\[0\]: Overtime must end after it starts"),
        ({"lots": [{"release": 0, "due": 1, "weight": 1}]}, r"lots\[0\].operations: is missing"),
        (
            {"lots": [{"release": 0, "due": 1, "weight": 1, "operations": [[5, 1]]}]},
            r"lots\[0\].operations\[0\]: there is no station 5",
        ),
        ({"extra": 1}, "extra: is not known here"),
        (
            {"lots": [{"release": 0, "due": 1, "weight": -2, "operations": [[0, 1]]}]},
            r"lots\[0\].weight: must be 0 or more, not -2",
        ),
        (
            {"lots": [{"release": 0, "due": 1, "weight": 1, "operations": [[0, 1], [0, 2**50]]}]},
            r"lots\[0\].operations\[1\]\[1\]: is beyond what can be reckoned with: 1125899906842624",
        ),
        (
            {"lots": [{"release": 0, "due": 2**50, "weight": 1, "operations": [[0, 1]]}]},
            r"lots\[0\].due: is beyond what can be reckoned with",
        ),
        (
            {"lots": [{"release": -(2**50), "due": 1, "weight": 1, "operations": [[0, 1]]}]},
            r"lots\[0\].release: is beyond what can be reckoned with",
        ),
        (
            {"calendars": [[[420, 690], [720, 2**50]], []]},
            r"calendars\[0\]\[1\]\[1\]: is beyond what can be reckoned with",
        ),
    ],
)
def test_a_wrong_value_in_a_case_is_named_by_its_path(change, sentence):
    with pytest.raises(BadFileError, match=sentence):
        read_any_problem(json.dumps(CASE | change))


def test_what_is_none_of_them_is_refused():
    with pytest.raises(BadFileError, match="is not JSON"):
        read_any_problem("{")
    with pytest.raises(BadFileError, match="format"):
        read_any_problem("{}")
    with pytest.raises(BadFileError, match="must be an object"):
        read_any_problem("[]")
    with pytest.raises(JobShopTextError, match="two whole numbers"):
        read_any_problem("")
