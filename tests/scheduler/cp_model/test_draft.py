"""Functions by values, as the constraint model writes them."""

from __future__ import annotations

from collections import Counter

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from scheduler.compiling.arrays import FAR
from scheduler.cp_model.draft import count_steps, usual_rise


@given(st.lists(st.integers(-3, 40), min_size=1, max_size=60))
def test_the_usual_rise_is_the_most_frequent(rises: list[int]) -> None:
    """No other one stands in the table more often."""
    counts = Counter(rises)
    found = usual_rise(np.array(rises))
    assert counts[found] == max(counts.values())
    assert found == min(one for one in counts if counts[one] == counts[found])


def test_a_cure_that_never_ends_is_a_step() -> None:
    """A rise of a thousand million ticks takes no memory of that size."""
    ends = np.array([10, 11, 12, 13, int(FAR), int(FAR)])
    assert usual_rise(np.diff(ends)) == 1
    assert count_steps(ends) == 2
