"""What makes a list of operations a routing."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.parts.models import KindRole, Taking
from app.parts.services.routing_rules import RoutingContext, problems_of
from app.parts.services.routings import settled
from app.shared.units import UnitSystem
from tests.parts.shop import Keys, anodizing, blanks, milling, tumbling

KEYS = Keys(blanks=1, milling=2, tumbling=3, anodizing=4, mills=7)
ROLES = {1: KindRole.BLANKS, 2: KindRole.STATION, 3: KindRole.STATION, 4: KindRole.OUTSIDE}
CONTEXT = RoutingContext(ROLES, piece_grams=400, lead_days=0, units=UnitSystem.INCH)
WHOLE = [blanks(KEYS), milling(KEYS), tumbling(KEYS), anodizing(KEYS)]


def breaches(operations, context=CONTEXT):
    return [(problem.row, problem.about, problem.sentence) for problem in problems_of(operations, context)]


def test_a_whole_routing_breaks_no_rule():
    assert breaches(WHOLE) == []


@pytest.mark.parametrize(
    ("row", "change", "about", "says"),
    [
        (1, {"number": 10}, "number", "There is already an operation 10 above."),
        (2, {"number": 15}, "number", "It comes after 20, so its number must be higher."),
        (3, {"number": 1000}, "number", "Operation numbers go from 1 to 999."),
        (0, {"number": 0}, "number", "Operation numbers go from 1 to 999."),
        (2, {"kind_id": 1, "lead_days": 3}, "kind_id", "Blanks are ordered once."),
        (1, {"work_center_id": None}, "work_center_id", "Choose the work center"),
        (1, {"cycle_ms": 0}, "cycle_ms", "The time must be more than nothing."),
        (1, {"taking": Taking.LEAD_TIME}, "taking", "Choose how the station takes pieces."),
        (1, {"expected_yield": Decimal(0)}, "expected_yield", "above 0 and at most 100 %."),
        (1, {"expected_yield": Decimal("1.01")}, "expected_yield", "above 0 and at most 100 %."),
        (2, {"load_pieces": 0}, "load_pieces", "It must hold at least 1 piece."),
        (2, {"batch_grams": 399}, "batch_grams", "One piece weighs 0.9 lb, so none would fit a batch."),
        (3, {"lead_days": 0}, "lead_days", "Enter how many days it takes until the pieces are back."),
        (0, {"lead_days": 0}, "lead_days", "until the blanks are here"),
    ],
)
def test_each_breach_is_named_with_its_row_and_field(row, change, about, says):
    operations = [replace(each, **change) if at == row else each for at, each in enumerate(WHOLE)]
    found = breaches(operations)
    assert [breach[:2] for breach in found] == [(row, about)]
    assert says in found[0][2]


def test_ordering_blanks_comes_first():
    found = breaches([milling(KEYS, number=10), blanks(KEYS, number=20)])
    assert found == [(1, "kind_id", "Ordering the blanks comes first. Move this operation to the top.")]


def test_a_batch_bounded_by_weight_needs_a_known_piece_weight():
    found = breaches([tumbling(KEYS, batch_grams=5000)], replace(CONTEXT, piece_grams=0))
    assert found[0][1] == "batch_grams"
    assert "Enter its weight on the revision" in found[0][2]


def test_a_piece_as_heavy_as_the_bound_fits():
    assert breaches([tumbling(KEYS, batch_grams=400)]) == []


def test_blanks_may_rely_on_the_lead_time_of_the_revision():
    context = replace(CONTEXT, lead_days=12)
    operation = blanks(KEYS, lead_days=0)
    assert breaches([operation], context) == []
    assert settled(operation, context).lead_days == 12


def test_a_routing_needs_an_operation_and_has_at_most_a_hundred():
    assert breaches([])[0] == (None, "operations", "A routing needs at least one operation.")
    many = [milling(KEYS, number=number) for number in range(1, 102)]
    assert breaches(many) == [(None, "operations", "A routing has at most 100 operations.")]
    assert breaches(many[:100]) == []


@pytest.mark.parametrize(
    ("taking", "kept"),
    [
        (
            Taking.SINGLE,
            {"load_pieces": 1, "load_ms": 0, "unload_ms": 0, "batch_grams": 0, "recipe": "", "wait_minutes": 0},
        ),
        (Taking.LOAD, {"load_pieces": 8, "load_ms": 60, "unload_ms": 9, "batch_grams": 0, "recipe": ""}),
        (
            Taking.BATCH,
            {"load_pieces": 8, "load_ms": 0, "unload_ms": 0, "batch_grams": 500, "recipe": "fine", "wait_minutes": 7},
        ),
        (Taking.BAR, {"load_pieces": 8, "load_ms": 60, "unload_ms": 0, "batch_grams": 0, "recipe": ""}),
    ],
)
def test_only_what_the_way_of_taking_pieces_needs_is_kept(taking, kept):
    figures = {"load_pieces": 8, "load_ms": 60, "unload_ms": 9, "batch_grams": 500, "recipe": "fine", "wait_minutes": 7}
    typed = milling(KEYS, taking=taking, lead_days=3, **figures)
    stored = settled(typed, CONTEXT)
    assert {name: getattr(stored, name) for name in kept} == kept
    assert stored.lead_days == 0


def test_what_others_do_keeps_its_days_and_yield_only():
    typed = replace(milling(KEYS), kind_id=KEYS.anodizing, lead_days=5, expected_yield=Decimal("0.9"))
    stored = settled(typed, CONTEXT)
    assert (stored.taking, stored.lead_days, stored.expected_yield) == (Taking.LEAD_TIME, 5, Decimal("0.9"))
    assert (stored.work_center_id, stored.cycle_ms, stored.setup_seconds) == (None, 0, 0)


@given(st.permutations(WHOLE))
def test_only_one_order_of_these_operations_is_right(operations):
    assert (breaches(operations) == []) == (list(operations) == WHOLE)
