"""Charts of a characteristic across lots: what they say, what can be chosen, and what is refused."""

from datetime import timedelta
from decimal import Decimal

import pytest
import sqlalchemy as sa

from app.core.quality.run_rules import Rule
from app.core.quality.tolerances import Limits
from app.lots.models import Lot
from app.parts.models import Characteristic, QualitySwitches
from app.quality.models import Reading
from app.quality.queries import Asked, Charted, ChartType, base_period, draw_charts
from app.quality.queries.chart_data import Chosen
from app.quality.queries.pictures import seams_of
from tests.factories.lots import MORNING, make_lot, make_routing
from tests.factories.quality import CharacteristicFactory, ReadingFactory
from tests.statements import counted

VALUES = [0, 1, -1, 2, 0, -1, 1, 0, 1, -2, 0, 1, 0, -1, 2, 0, -1, 1, 0, 0, 1, -1, 0, 1, -1]
"""In ten-thousandths of an inch around 0.5000: nothing but scatter."""


@pytest.fixture
def lots(session) -> list[Lot]:
    """Return two lots with 25 readings each, a day apart."""
    routing = make_routing()
    CharacteristicFactory(revision=routing.revision, number=1)
    made = [make_lot(session, routing=routing), make_lot(session, routing=routing)]
    for day, lot in enumerate(made):
        read(lot, VALUES, day)
    return made


def read(lot: Lot, values, day: int) -> None:
    for piece, value in enumerate(values, start=1):
        exact = Decimal(5000 + value) / 10000
        then = MORNING + timedelta(days=day, minutes=piece)
        ReadingFactory(
            characteristic=lot.operations[0].characteristics[0],
            piece=piece,
            value=exact,
            typed=f"{exact:.4f}",
            standing=Limits(Decimal("0.4995"), Decimal("0.5005")).standing(exact),
            happened_at=then,
            recorded_at=then,
        )


def page(client, session, query="", status=200):
    key = session.scalars(sa.select(Characteristic.id)).one()
    answer = client.get(f"/characteristics/{key}{query}")
    assert answer.status_code == status
    return answer.text


def test_a_process_in_control_is_called_capable_or_not_with_its_interval(as_operator, session, lots):
    shown = page(as_operator, session)
    assert "In control" in shown
    assert "<dt>Cpk</dt>" in shown
    assert shown.count('class="chart"') == 3
    assert shown.count('class="chart__dot"') == 99  # 50 readings and 49 steps
    assert "1 Bore" in as_operator.get("/characteristics").text


def test_one_that_is_not_in_control_gets_no_capability(as_operator, session, lots):
    read(lots[1], [4, 4, 4, 5], 2)
    shown = page(as_operator, session)
    assert "Not in control" in shown
    assert "<dt>Cpk</dt>" not in shown
    assert "<dt>Ppk</dt>" in shown
    assert "one point beyond three sigma" in shown
    assert "chart__signal" in shown
    switched_off = page(as_operator, session, "?kind=individuals&rules=eight+in+a+row")
    assert '<td data-label="Breaks a rule">one point beyond three sigma</td>' not in switched_off


@pytest.mark.parametrize("kind", ["mean+and+range", "mean+and+deviation"])
def test_subgroups_are_complete_ones(as_operator, session, lots, kind):
    shown = page(as_operator, session, f"?kind={kind}&size=4")
    assert '<th scope="row">12</th>' in shown
    assert '<th scope="row">13</th>' not in shown


@pytest.mark.parametrize(
    ("query", "sentence"),
    [
        ("&base_since=2020-01-01&base_until=2020-02-01", "The base period has 0 readings"),
        ("&base_since=1", "year-month-day"),
        ("&size=1", "It must be 2 or more."),
        ("&size=99", "It must be 25 or less."),
    ],
)
def test_what_cannot_be_charted_is_said_beside_its_field(as_operator, session, lots, query, sentence):
    assert sentence in page(as_operator, session, f"?kind=individuals{query}", 422)


def test_limits_come_from_the_base_period(lots, session):
    readings = session.scalars(sa.select(Reading).order_by(Reading.id)).all()
    charted = Charted(readings, left_out=False)
    base = base_period(readings, Chosen(base_until=MORNING.date()))
    assert base == range(25)
    first = draw_charts(charted, Limits(Decimal("0.4995"), Decimal("0.5005")), asked(base))
    whole = draw_charts(charted, Limits(Decimal("0.4995"), Decimal("0.5005")), asked(None))
    assert first.level.base is not None
    assert whole.level.base is None
    assert [rail.value for rail in first.level.rails] != [rail.value for rail in whole.level.rails]


def asked(base):
    return Asked(ChartType.INDIVIDUALS, 5, frozenset(Rule), base)


def test_moving_averages_are_offered_once_they_are_switched_on(as_owner, session, lots):
    assert "EWMA" not in page(as_owner, session)
    form = {"moving_averages": "y", "rules": ["beyond limit"]}
    assert as_owner.post("/quality", data=form).status_code == 303
    assert "EWMA" in page(as_owner, session, "?kind=moving+average&rules=beyond+limit")
    session.rollback()
    kept = session.scalars(sa.select(QualitySwitches)).one()
    assert (kept.sampling, kept.moving_averages, kept.rules) == (False, True, ["beyond limit"])


def test_a_drift_is_told_with_the_piece_at_which_it_would_cross(as_operator, session, lots):
    read(lots[1], [*range(-4, 4)], 3)
    session.execute(sa.delete(Reading).where(Reading.happened_at < MORNING + timedelta(days=2)))
    session.commit()
    assert "piece 11 reaches a limit" in page(as_operator, session)


def test_the_statements_do_not_grow_with_the_readings(as_operator, session, lots):
    with counted(session.get_bind()) as few:
        page(as_operator, session)
    read(lots[0], VALUES, 5)
    with counted(session.get_bind()) as more:
        page(as_operator, session)
    assert len(more) <= len(few)


def test_no_reading_says_so(as_operator, session):
    CharacteristicFactory(revision=make_routing().revision)
    assert "No readings yet of what is chosen" in page(as_operator, session)
    assert "No readings yet" in as_operator.get("/characteristics").text


def test_seams_stand_where_another_lot_begins():
    assert seams_of(["A", "A", "B", "B", "B", "C"]) == [(0, "A"), (2, "B"), (5, "C")]
    assert seams_of(["A", "A", "B", "B", "B", "C"], 2) == [(0, "A"), (1, "B"), (2, "C")]
    assert seams_of([]) == []


def test_only_an_owner_switches(as_inspector):
    assert as_inspector.get("/quality").status_code == 403
