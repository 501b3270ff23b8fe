"""A shop written as a file and read back is the same shop; a wrong value is named by its path."""

import json
from dataclasses import asdict
from datetime import date

import pytest

from app.core.calendar_hours import Downtime, OpenHours
from app.core.calendars import WorkCalendar
from app.core.planning.problem_file import document_of, read_problem, write_problem
from app.core.planning.reading import BadFileError
from app.core.shop import (
    Arrival,
    BarFed,
    Batch,
    Crew,
    LeadTime,
    Lot,
    NotBefore,
    OpenJob,
    Operation,
    OverClosed,
    PalletLoad,
    Purchase,
    Shop,
    SinglePiece,
    Station,
)
from app.core.worktime import Span
from tests.core.shops import MONDAY, hours_of, round_the_clock


def whole_shop() -> Shop:
    """Return a shop that uses every word of the file."""
    days = hours_of(("07:00", "15:30"))
    day = WorkCalendar(
        OpenHours(
            days.zone,
            days.shifts,
            frozenset({date(2026, 12, 25)}),
            (Span(MONDAY, MONDAY + 60),),
            (Downtime(MONDAY + 900, MONDAY + 1800, guess=True),),
        )
    )
    takings = (
        Purchase((Arrival(MONDAY, 3, guess=True),)),
        SinglePiece(1000),
        PalletLoad(4, 10_000, 2_000, 1_000),
        BarFed(12, 900, 30_000),
        Batch("T6", 3_600_000, 100, 5_000, 50, wait_s=600),
        LeadTime(5, working_days=True),
    )
    operations = tuple(
        Operation(
            key=str(n),
            work_center="Mill",
            taking=taking,
            setup_s=60 * n,
            family=f"P/{n}",
            stations=("M1",),
            waiting=n,
            open_jobs=(OpenJob("M1", 1, MONDAY - 60, True, 20, "b", needed_setup_s=90, counted=3),) if n == 1 else (),
            send_ahead=2,
            not_before=NotBefore(MONDAY, "bolts", guess=True),
            fixture="vise",
            fixture_setup_s=30,
            tend_permille=250,
            split=2,
            components=("L2",),
            rank=n,
        )
        for n, taking in enumerate(takings)
    )
    station = Station("M1", "Mill", day, 2, 60_000, "P/1", "vise", OverClosed.UNATTENDED, 7200, 80)
    lots = (Lot("L1", "1", operations, MONDAY - 5, MONDAY + 9, 1, rush=True, weight=4), Lot("L2", "2", (), hold="why"))
    return Shop(MONDAY, (station,), lots, round_the_clock(), (Crew(day, 1, 2),))


def test_a_shop_written_and_read_back_is_the_same() -> None:
    shop = whole_shop()
    text = write_problem(shop)
    back = read_problem(text)
    assert write_problem(back) == text
    assert [asdict(lot) for lot in back.lots] == [asdict(lot) for lot in shop.lots]
    assert back.stations[0].calendar.hours == shop.stations[0].calendar.hours
    assert back.people is not None
    assert back.people[0].tenders == 2


@pytest.mark.parametrize(
    ("where", "value", "message"),
    [
        (("now",), "soon", "now: must be a whole number"),
        (("now",), True, "now: must be a whole number"),
        (("now",), 2**53, "now: is beyond what can be reckoned with: 9007199254740992"),
        (("now",), 2**40, "now: must be seconds since 1970"),
        (("now",), -1, "now: must be seconds since 1970"),
        (("extra",), 1, "extra: is not known here"),
        (("receiving",), "nights", "receiving: must name one of the calendars"),
        (("stations", 0, "calendar"), 3, "stations[0].calendar: must name"),
        (("stations", 0, "over_closed"), "sleep", "stations[0].over_closed: must be pause, fit, unattended"),
        (("stations", 0, "pace"), 0, "stations[0].pace: must be 1 or more"),
        (("lots", 0, "rush"), 1, "lots[0].rush: must be true or false"),
        (("lots", 0, "weight"), 20_000, "lots[0].weight: must be 10000 or less, not 20000"),
        (("lots", 0, "due"), -(2**50), "lots[0].due: must be -8589934592 or more"),
        (("lots", 1, "key"), "L1", "file: Two lots have the key"),
        (("lots", 0, "operations", 1, "taking"), {"kind": "magic"}, "lots[0].operations[1].taking: must be an object"),
        (("lots", 0, "operations", 1, "taking", "cycle_ms"), 1.5, "lots[0].operations[1].taking.cycle_ms: must be a"),
        (("lots", 0, "operations", 1, "open_jobs", 0, "pieces"), None, "open_jobs[0].pieces: must be a whole number"),
        (
            ("lots", 0, "operations", 2, "waiting"),
            10**9,
            "operations[2].waiting: must be 10000000 or less, not 1000000000",
        ),
        (("lots", 0, "operations", 2, "tend_permille"), -1, "operations[2].tend_permille: must be 0 or more"),
        (("lots", 0, "operations", 4, "taking", "wait_s"), -1, "operations[4].taking.wait_s: must be 0 or more"),
        (("lots", 0, "operations", 1, "open_jobs", 0, "worked_s"), -1, "open_jobs[0].worked_s: must be 0 or more"),
        (("lots", 0, "operations", 1, "open_jobs", 0, "counted"), 2**24, "open_jobs[0].counted: must be 10000000 or"),
        (("lots", 0, "operations", 1, "open_jobs", 0, "needed_setup_s"), -1, "needed_setup_s: must be 0 or more"),
        (("lots", 0, "operations", 0, "taking", "arrivals", 0, "pieces"), 10**9, "taking.arrivals[0].pieces: must be"),
        (("stations", 0, "pallet_change_ms"), -1, "stations[0].pallet_change_ms: must be 0 or more"),
        (("lots", 0, "operations", 2, "split"), 0, "lots[0].operations[2].split: must be 1 or more"),
        (("calendars", "hours 2", "zone"), "Mars/Base", "calendars.hours 2: 'Mars/Base' is not an IANA time zone"),
        (("calendars", "hours 2", "closed_days"), ["Christmas"], "closed_days[0]: must be a day such as"),
        (("calendars", "hours 2", "shifts", 0, "start"), "7", "shifts[0].start: must be a time such as"),
        (("calendars", "hours 2", "overtime"), [[1]], "overtime[0]: must have 2 values"),
        (("version",), 2, "format: must be"),
    ],
)
def test_a_wrong_value_is_named_by_its_path(where: tuple[str | int, ...], value: object, message: str) -> None:
    document = json.loads(json.dumps(document_of(whole_shop())))
    inner = document
    for name in where[:-1]:
        inner = inner[name]
    inner[where[-1]] = value
    with pytest.raises(BadFileError) as caught:
        read_problem(json.dumps(document))
    assert message in str(caught.value)


def test_a_missing_field_is_named() -> None:
    document = document_of(whole_shop())
    del document["lots"][0]["operations"][0]["taking"]
    with pytest.raises(BadFileError, match=r"lots\[0\]\.operations\[0\]\.taking: is missing"):
        read_problem(json.dumps(document))


def test_what_is_no_json_is_refused() -> None:
    with pytest.raises(BadFileError, match="is not JSON"):
        read_problem("{")
