from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from app.core.worktime import Span, clipped, merged, without

SPANS = st.lists(st.tuples(st.integers(0, 60), st.integers(0, 60)).map(lambda pair: Span(*pair)), max_size=8)


def seconds(spans):
    return {second for span in spans for second in range(span.start, span.end)}


def are_apart(spans):
    return all(a.end < b.start for a, b in pairwise(spans)) and all(a.start < a.end for a in spans)


def test_spans_that_overlap_or_touch_become_one():
    assert merged([Span(5, 8), Span(0, 3), Span(3, 4), Span(7, 9)]) == [Span(0, 4), Span(5, 9)]


def test_a_hole_splits_a_span():
    assert without([Span(0, 10)], [Span(3, 4), Span(6, 7)]) == [Span(0, 3), Span(4, 6), Span(7, 10)]


@given(SPANS)
def test_merging_keeps_every_second_once(spans):
    assert seconds(merged(spans)) == seconds(spans)
    assert are_apart(merged(spans))


@given(SPANS, SPANS)
def test_taking_holes_out_leaves_the_other_seconds(spans, holes):
    assert seconds(without(spans, holes)) == seconds(spans) - seconds(holes)
    assert are_apart(without(spans, holes))


@given(SPANS, st.integers(0, 60), st.integers(0, 60))
def test_clipping_keeps_what_lies_in_the_window(spans, start, end):
    assert seconds(clipped(spans, Span(start, end))) == seconds(spans) & set(range(start, end))
