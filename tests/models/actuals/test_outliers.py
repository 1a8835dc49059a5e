"""What lies too far from the others."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from models.actuals.outliers import FEWEST_VALUES, fence_around, modified_scores

values = st.lists(st.floats(-5, 5), min_size=FEWEST_VALUES, max_size=30)


def test_few_values_have_no_fence() -> None:
    """Of four values nobody can say which is far from the others."""
    assert fence_around([1.0, 1.0, 1.0, 9.0], 0.1) is None


def test_a_far_value_is_flagged_and_held_at_the_fence() -> None:
    """One hour in place of ten is flagged; it counts as one on the fence."""
    fence = fence_around([1.0, 1.1, 0.9, 1.0, 1.05, 10.0], 0.0)
    assert fence is not None
    assert fence.flags(10.0)
    assert not fence.flags(1.1)
    assert fence.held(10.0) == fence.high
    assert fence.held(1.1) == 1.1


def test_equal_values_flag_only_beyond_the_least() -> None:
    """Where half the values are equal, the least distance alone decides."""
    fence = fence_around([1.0] * 5 + [1.1, 3.0], 0.2)
    assert fence is not None
    assert not fence.flags(1.1)
    assert fence.flags(3.0)
    assert set(modified_scores([1.0] * 5 + [3.0])) == {0.0}


@given(values)
def test_the_fence_is_where_the_score_says(drawn: list[float]) -> None:
    """With no least distance, what is flagged has a modified z-score above 3.5."""
    fence = fence_around(drawn, 0.0)
    assert fence is not None
    for value, score in zip(drawn, modified_scores(drawn), strict=True):
        if abs(abs(score) - 3.5) > 1e-6 and score != 0:
            assert fence.flags(value) == (abs(score) > 3.5)


@given(values, st.floats(0, 1))
def test_less_than_half_is_flagged(drawn: list[float], least: float) -> None:
    """At least half of the values are inside, whatever they are."""
    fence = fence_around(drawn, least)
    assert fence is not None
    assert 2 * sum(map(fence.flags, drawn)) <= len(drawn)
