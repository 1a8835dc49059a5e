"""The shortest cycle of small lines, against every cycle that there is."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from scheduler.classical.cycle import Cycle, Line, cycle_faults, shortest_cycle

MOST_LOADED, MOST_EMPTY = 3, 2
CARRIED_SOONER = Line(  # than the hoist gets there without a part
    soaks=((1, None),) * 3, loaded=(1, 1, 1), empty=((0, 2, 4), (2, 0, 2), (4, 2, 0))
)


@st.composite
def lines(draw: st.DrawFn) -> Line:
    """Two or three stages with short times."""
    stages = draw(st.integers(2, 3))
    small = st.integers(1, 3)
    soaks = []
    for _ in range(stages):
        least = draw(small)
        most = draw(st.none() | st.integers(least, least + 2))
        soaks.append((least, most))
    loaded = tuple(draw(st.integers(1, MOST_LOADED)) for _ in range(stages))
    travel = draw(st.integers(0, MOST_EMPTY))
    empty = tuple(
        tuple(travel * abs(one - other) for other in range(stages))
        for one in range(stages)
    )
    return Line(tuple(soaks), loaded, empty)


def by_trying(line: Line, longest: int) -> int | None:
    """The shortest period at which any removal times pass."""
    later = len(line.soaks) - 1
    for period in range(1, longest + 1):
        for times in product(range(period), repeat=later):
            if not cycle_faults(line, Cycle(period, (0, *times))):
                return period
    return None


@settings(max_examples=60, deadline=None)
@given(lines())
@example(CARRIED_SOONER)
def test_the_shortest_cycle_is_that_of_trying_all(line: Line) -> None:
    longest = 14
    found = shortest_cycle(line, longest=longest, seconds=30, workers=1)
    best = by_trying(line, longest)
    if best is None:
        assert found.cycle is None
        assert found.bound == longest + 1
    else:
        assert found.cycle is not None
        assert cycle_faults(line, found.cycle) == []
        assert found.cycle.period == found.bound == best


def test_one_stage_holds_one_part() -> None:
    line = Line(soaks=((5, None), (10, 12)), loaded=(3, 3), empty=((0, 1), (1, 0)))
    found = shortest_cycle(line, seconds=30)
    assert found.cycle is not None
    assert found.cycle.period == 21  # 5 at stage 0, 3 there, 10 in the stage, 3 back


def test_tables_of_different_size_are_refused() -> None:
    with pytest.raises(ValueError, match="for each stage"):
        shortest_cycle(Line(((1, None),), (1, 1), ((0,),)))
