"""Variances by the method of moments, and what is pulled how far."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from models.actuals.shrinkage import (
    Guess,
    group_mean,
    pulled,
    share_kept,
    variance_about,
    variance_between,
    variance_within,
)

above_0 = st.floats(0.01, 10)
anything = st.floats(-5, 5)


def test_variances_of_a_hand_computed_example() -> None:
    """Two cells of 3 and 1 values: computed by hand from the expectations.

    Within: (1 + 0 + 1) / 2 = 1. Center 11, between 3 x 1 + 1 x 9 = 12, less 1 x 1, over
    4 - 10 / 4 = 1.5: 22/3.
    """
    groups = [[[9.0, 10.0, 11.0], [14.0]]]
    assert variance_within(groups) == 1.0
    assert variance_between(groups, 1.0) == pytest.approx(22 / 3)


def test_no_variance_where_none_can_be_seen() -> None:
    """Single values have no variance within, single cells none between."""
    assert variance_within([[[1.0], [2.0]]]) == 0.0
    assert variance_between([[[1.0, 3.0]], [[5.0, 7.0]]], 2.0) == 0.0
    assert variance_about(0.0, []) == 0.0


def test_variance_is_never_below_0() -> None:
    """Cells that are more alike than chance makes them differ by nothing."""
    assert variance_between([[[1.0, 9.0], [9.0, 1.0]]], 32.0) == 0.0
    assert variance_about(0.0, [Guess(0.1, 4.0)]) == 0.0


def test_a_group_counts_values_alike_where_cells_do_not_differ() -> None:
    """With no variance between cells, the mean is that of all values."""
    mean = group_mean([[1.0, 2.0, 3.0], [8.0]], 2.0, 0.0)
    assert mean.mean == pytest.approx(3.5)
    assert mean.variance == pytest.approx(2.0 / 4)
    assert group_mean([[1.0, 2.0, 3.0], [8.0]], 0.0, 0.0) == Guess(3.5, 0.0)


@given(anything, above_0, anything, st.floats(0, 10), st.floats(0, 10))
def test_what_is_pulled_lies_between(
    own: float, error: float, kind: float, kind_error: float, variance: float
) -> None:
    """A pulled mean lies between what was measured and what it is pulled to."""
    found = pulled(Guess(own, error), Guess(kind, kind_error), variance)
    slack = 1e-12 * (abs(own) + abs(kind) + 1)
    assert min(own, kind) - slack <= found.mean <= max(own, kind) + slack
    assert found.variance >= 0


@given(above_0, above_0, st.integers(1, 50))
def test_more_values_are_pulled_less(variance: float, within: float, n: int) -> None:
    """Each further value keeps more of what was measured."""
    assert share_kept(variance, within / (n + 1)) > share_kept(variance, within / n)
