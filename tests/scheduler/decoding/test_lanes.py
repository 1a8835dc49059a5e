"""Counters packed in a word, against plain lists of numbers."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from scheduler.compiling.arrays import LANE_BITS, LANE_MOST, LANES
from scheduler.decoding.kernel import kernel
from scheduler.decoding.lanes import _fewer, _lane_sum, fewer, first_of, lane_sum

counters = st.lists(st.integers(0, LANE_MOST), min_size=LANES, max_size=LANES)
sums = st.lists(st.integers(0, 2 * LANE_MOST), min_size=LANES, max_size=LANES)


def packed(counts: list[int]) -> np.uint64:
    """A word of counters."""
    word = sum(one << (LANE_BITS * lane) for lane, one in enumerate(counts))
    return np.uint64(word)


@kernel
def compiled_fewer(left: np.uint64, right: np.uint64) -> np.uint64:
    """`fewer` as kernels have it."""
    return np.uint64(fewer(left, right))


@kernel
def compiled_lane_sum(word: np.uint64) -> int:
    """`lane_sum` as kernels have it."""
    return int(lane_sum(word))


@given(sums, sums)
def test_fewer_takes_the_smaller_in_every_lane(
    left: list[int], right: list[int]
) -> None:
    """By arithmetic and in vector registers alike."""
    expected = packed([min(pair) for pair in zip(left, right, strict=True)])
    assert compiled_fewer(packed(left), packed(right)) == expected
    with np.errstate(over="ignore"):
        assert _fewer(packed(left), packed(right)) == expected


@given(sums)
def test_lane_sum_adds_all_counters(counts: list[int]) -> None:
    """No lane runs over into the next, by arithmetic or in vector registers."""
    assert compiled_lane_sum(packed(counts)) == sum(counts)
    with np.errstate(over="ignore"):
        assert _lane_sum(packed(counts)) == sum(counts)


@given(counters, st.integers(0, LANE_MOST))
def test_first_of_takes_lanes_in_order(counts: list[int], wanted: int) -> None:
    """As many as are wanted, or all; small crews by sums of lanes, large ones not."""
    taken = []
    for count in counts:
        taken.append(min(count, wanted - sum(taken)))
    assert first_of(packed(counts), wanted) == packed(taken)
