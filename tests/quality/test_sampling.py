"""The page of samples: what is taken of a lot by both ways, how likely it passes, and the tables."""

from decimal import Decimal
from fractions import Fraction

import pytest

from app.parts.queries import quality_switches
from app.quality.queries import sample_of, sampling_table


def test_what_is_taken_of_a_lot_and_how_likely_it_passes():
    # ISO 2859-1: lot 200, AQL 0.65: letter G, the arrow leads up to F, 20 pieces, none bad. The chance with 4 bad
    # among 200 and 32 taken: 0.49500 (hypergeometric, recomputed with scipy.stats.hypergeom).
    sampled = sample_of(200, Decimal("0.65"), Decimal(2), Decimal(95))
    assert (sampled.letter, sampled.plan.letter, sampled.plan.size, sampled.plan.accept) == ("G", "F", 20, 0)
    assert sampled.points[0].by_plan == sampled.points[0].by_zero == 1
    four = next(each for each in sampled.points if each.bad == 4)
    assert (four.percent, float(four.by_zero) <= 0.05) == (2, True)
    assert all(a.by_zero > b.by_zero for a, b in zip(sampled.points, sampled.points[1:], strict=False) if b.by_zero)
    assert sampled.points[-1].percent == Fraction(8)


def test_the_tables_follow_the_arrows_and_take_small_lots_whole():
    rows = {row.most: row for row in sampling_table(Decimal(95))}
    assert [rows[150].plans[nth].size for nth in (1, 2)] == [20, 13]  # ISO 2859-1, letter F at 0.65 and 1.0
    assert rows[8].plans[2].every_piece
    assert 270 < rows[3200].zeros[1] < 299  # the success run 0.99/0.95 takes 299 of an endless lot


@pytest.mark.parametrize(
    ("asked", "sentence"),
    [
        ("lot=0", "It must be 1 or more"),
        ("lot=many", "Type a whole number"),
        ("lot=200&share=0", "above 0 and below 100"),
        ("lot=200&confidence=100", "above 0 and below 100"),
        ("lot=200&quality_limit=3", "Not a valid choice"),
    ],
)
def test_what_makes_no_sense_is_said_beside_its_field_and_the_tables_stay(as_operator, asked, sentence):
    known = dict(pair.split("=") for pair in ["lot=200", "quality_limit=1.0", "share=2", "confidence=95"])
    answer = as_operator.get("/sampling", query_string=known | dict(pair.split("=") for pair in asked.split("&")))
    assert (answer.status_code, sentence in answer.text) == (422, True)
    assert "general level II" in answer.text


def test_no_page_leads_there_until_it_is_switched_on(as_owner, session):
    assert "/sampling" not in as_owner.get("/gauges").text
    quality_switches(session).sampling = True
    session.commit()
    assert "/sampling" in as_owner.get("/gauges").text
    assert "take 50" in as_owner.get("/sampling").text
