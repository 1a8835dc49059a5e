"""Lists of spans behave as the sets of ticks that they stand for."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from models.spans import Span, clip, merge, subtract

SPANS = st.lists(st.tuples(st.integers(0, 40), st.integers(0, 40)), max_size=8)


def ticks(spans: tuple[Span, ...] | list[Span]) -> set[int]:
    """Give the set of ticks that spans cover."""
    return {tick for start, end in spans for tick in range(start, end)}


def assert_tidy(spans: tuple[Span, ...]) -> None:
    """Check that spans are sorted, not empty and do not touch."""
    assert all(start < end for start, end in spans)
    assert all(one[1] < after[0] for one, after in pairwise(spans))


@given(SPANS)
def test_merge_covers_the_same_ticks_once(spans: list[Span]) -> None:
    """Merged spans cover the same ticks, in order and without touching."""
    merged = merge(spans)
    assert_tidy(merged)
    assert ticks(merged) == ticks(spans)


@given(SPANS, SPANS)
def test_subtract_takes_out_exactly_the_holes(
    spans: list[Span], holes: list[Span]
) -> None:
    """What is left after taking out holes is what lies in the spans and in no hole."""
    left = subtract(merge(spans), holes)
    assert_tidy(left)
    assert ticks(left) == ticks(spans) - ticks(holes)


@given(SPANS, st.integers(0, 40), st.integers(0, 40))
def test_clip_keeps_what_lies_inside(spans: list[Span], start: int, end: int) -> None:
    """Clipping keeps exactly the ticks inside the limits."""
    assert ticks(clip(spans, start, end)) == ticks(spans) & set(range(start, end))
