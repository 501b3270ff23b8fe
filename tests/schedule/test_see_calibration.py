"""How far the chances can be believed: the kept figures are sound, and pages and papers say no others."""

import re

import pytest

from app.core.chances.scores import BINS, wilson
from app.schedule import queries
from tests.bench.bench_calibration import SHARES_OF_DATES, WHENS
from tests.bench.calibration_tables import PAPERS, short, tables, written

FOUND = queries.calibration()
each_kind = pytest.mark.parametrize("judged", FOUND.judged, ids=WHENS)


def test_both_kinds_of_predictions_are_kept_of_worlds_that_chose_nothing():
    assert tuple(each.when for each in FOUND.judged) == WHENS
    assert FOUND.first_seed > 200
    assert FOUND.worlds >= 3


@each_kind
@pytest.mark.parametrize("by", ["chances", "plain", "so_far"])
def test_the_kept_scores_are_those_of_the_kept_bins(judged, by):
    kept = getattr(judged, by)
    near = {"abs": 2e-6}  # six places are kept
    assert sum(one.count for one in kept.bins) == kept.count == judged.chances.count
    rate = sum(one.came for one in kept.bins) / kept.count
    assert kept.base_rate == pytest.approx(rate, **near)
    assert kept.uncertainty == pytest.approx(rate * (1 - rate), **near)
    apart = [(one.count / kept.count, one.mean, one.came / one.count) for one in kept.bins]
    assert kept.reliability == pytest.approx(sum(n * (said - came) ** 2 for n, said, came in apart), **near)
    assert kept.resolution == pytest.approx(sum(n * (came - rate) ** 2 for n, _, came in apart), **near)
    assert 0 <= kept.brier <= 1


@each_kind
def test_the_kept_bins_are_tenths_and_hold_the_chances_that_were_said(judged):
    assert [round(one.low * BINS) for one in judged.chances.bins] == list(range(BINS))
    for one in judged.chances.bins:
        assert one.low <= one.mean <= one.low + 1 / BINS
        assert 0 <= one.came <= one.count


@each_kind
def test_a_later_date_is_kept_by_more_lots_and_by_no_more_than_all(judged):
    assert tuple(one.wanted for one in judged.dates) == SHARES_OF_DATES
    kept = [one.share for one in judged.dates]
    assert 0 <= kept[0] <= kept[1] <= kept[2] <= 1
    assert {one.count for one in judged.dates} == {judged.chances.count}


def rows_of(text, label):
    """Return the words in the cells of each row of a table."""
    table = re.search(rf'aria-label="{label}".*?<tbody>(.*?)</tbody>', text, re.DOTALL).group(1)
    rows = [re.findall(r"<t[hd].*?</t[hd]>", row, re.DOTALL) for row in re.findall(r"<tr>(.*?)</tr>", table, re.DOTALL)]
    return [[re.sub(r"<[^>]+>|&nbsp;", " ", cell).split() for cell in row] for row in rows]


def words(*figures):
    return " ".join(figures).split()


def percent(share):
    return f"{100 * share:.0f} %"


def share_of(came, count):
    """Return how a page says a share with its interval."""
    low, high = wilson(came, count)
    return words(percent(came / count), f"{100 * low:.0f} to {100 * high:.0f} %")


def test_the_page_says_the_kept_figures_and_where_they_are_off(as_owner):
    text, judged = as_owner.get("/schedule/calibration").text, FOUND.judged[0]
    bins = rows_of(text, "Chances and what came, on the day of release")
    for (said, lots, late, verdict), one in zip(bins, judged.chances.bins, strict=True):
        tenth = f"{100 * one.low:.0f} to {100 * one.low + 10:.0f} %"
        assert (said, lots) == (words(tenth, "mean", percent(one.mean)), [str(one.count)])
        assert late == share_of(one.came, one.count)
        low, high = wilson(one.came, one.count)
        assert verdict == ["yes" if low <= one.mean <= high else "fewer" if one.mean > high else "more"]
    dates = rows_of(text, "Dates and how many were kept, on the day of release")
    for (_, lots, kept), one in zip(dates, judged.dates, strict=True):
        assert (lots, kept) == ([str(one.count)], share_of(one.by_then, one.count))
    scores = rows_of(text, "Scores, on the day of release")
    for (_, *found), one in zip(scores, (judged.chances, judged.plain, judged.so_far), strict=True):
        assert found == [[f"{each:.3f}"] for each in (one.brier, one.reliability, one.resolution)]


@pytest.mark.parametrize(("paper", "made"), list(zip(PAPERS, (tables, short), strict=True)), ids=("results", "readme"))
def test_the_papers_have_the_tables_of_the_kept_figures(paper, made):
    assert written(paper.read_text(encoding="utf-8")) == made(FOUND)
