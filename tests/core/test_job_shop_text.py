from fractions import Fraction

import pytest

from app.core.job_shop_text import JobShopTextError, read_job_shop
from app.core.shop import SinglePiece
from tests.published.job_shops import jobs_of, texts, weights_and_dues

TWO_BY_TWO = """ 2 2
 0 3 1 4

 1 2 0 5
"""


def test_each_job_becomes_a_lot_of_one_piece_and_a_unit_of_time_a_second():
    shop = read_job_shop(TWO_BY_TWO)
    assert [station.key for station in shop.stations] == ["0", "1"]
    first, second = shop.lots
    assert [(one.work_center, one.taking) for one in first.operations] == [
        ("0", SinglePiece(3_000)),
        ("1", SinglePiece(4_000)),
    ]
    assert [one.work_center for one in second.operations] == ["1", "0"]
    assert [one.waiting for one in first.operations] == [1, 0]
    assert (shop.now, first.due, first.weight) == (0, None, 1)


@pytest.mark.parametrize("name", texts())
def test_every_published_instance_is_read_whole(name):
    shop = read_job_shop(texts()[name])
    read = [[(int(one.work_center), one.taking.cycle_ms // 1000) for one in lot.operations] for lot in shop.lots]
    assert read == [[(machine, time) for machine, time in job if time] for job in jobs_of(name)]


def test_an_operation_of_no_time_is_left_out():
    assert [len(lot.operations) for lot in read_job_shop(texts()["orb07"]).lots] == [10] * 9 + [9]


@pytest.mark.parametrize("factor", ["1.3", "1.5", "1.6"])
@pytest.mark.parametrize("name", ["abz5", "ft10", "la21", "orb07", "swv11"])
def test_due_dates_and_weights_are_those_of_singer_and_pinedo(name, factor):
    shop = read_job_shop(texts()[name], due_factor=Fraction(factor))
    assert [(lot.weight, lot.due) for lot in shop.lots] == weights_and_dues(jobs_of(name), factor)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "The first line must have two whole numbers"),
        ("2 2 2\n", "The first line must have two whole numbers"),
        ("one two\n", "Line 1: there must be only whole numbers"),
        ("3 2\n0 1 1 1\n", "The first line promises 3 jobs; there are 1 lines after it"),
        ("0 2\n", "There must be at least one job and one machine"),
        ("1 2\n0 1 1\n", "Line 2: machines and times must come in pairs"),
        ("1 2\n0 1 2 4\n", "Line 2: machine 2 is not one of 0 to 1"),
        ("1 2\n0 1 1 -1\n", "Line 2: a time must not be below zero"),
        ("1 2\n0 1 1 1.5\n", "Line 2: there must be only whole numbers"),
        (
            "2 2\n0 3 1 2\n1 4\n",
            "Line 3 has 1 pair of machine and time; the first line promises 2 machines, one pair for each.",
        ),
        ("1 2\n\n0 3 1 2 0 1\n", "Line 3 has 3 pairs of machine and time; the first line promises 2 machines"),
        ("1 1\n0 3 0 2\n", "Line 2 has 2 pairs of machine and time; the first line promises 1 machine, one pair"),
        ("1 2\n0 3 0 2\n", "Line 2: machine 0 comes twice; a job comes to each machine once"),
        (f"1 1\n0 {10**16}\n", f"Line 2: a time must be below {2**53 // 1000}"),
    ],
)
def test_text_that_is_no_instance_is_refused_with_the_line_to_mend(text, sentence):
    with pytest.raises(JobShopTextError, match=sentence):
        read_job_shop(text)


def test_machines_that_are_promised_and_not_there_take_no_room(monkeypatch):
    """Twenty million stations would not fit into the memory of a small computer: it is told before one is made."""
    monkeypatch.setattr("app.core.job_shop_text.Station", lambda *_: pytest.fail("a station was made"))
    with pytest.raises(JobShopTextError, match=r"Line 2 has 1 pair .* promises 20000000 machines"):
        read_job_shop("1 20000000\n0 3\n")
