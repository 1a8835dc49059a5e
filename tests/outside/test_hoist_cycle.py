"""CV-103 to CV-105: the shortest cycle of twelve tanks, a station and one hoist.

Data and the period 521: dataset note of "A New Constraint Programming Model and Solving
for the Cyclic Hoist Scheduling Problem" (Constraints, 2020), a published line in use.
Two entries of its table were misprinted; the table of empty travel is symmetric.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from scheduler.classical.cycle import (
    Cycle,
    Line,
    cycle_faults,
    parts_in_line,
    shortest_cycle,
)

LEAST = (120, 150, 90, 120, 90, 30, 60, 60, 45, 130, 120, 90, 30)
MOST = (None, 200, 120, 180, 125, 40, 120, 120, 75, None, None, 120, 60)
LOADED = (31, 22, 22, 22, 25, 23, 22, 22, 22, 47, 27, 22, 30)
EMPTY = (
    (0, 11, 14, 16, 14, 19, 22, 24, 26, 29, 6, 8, 10),
    (11, 0, 2, 5, 2, 8, 10, 13, 15, 17, 10, 3, 1),
    (14, 2, 0, 2, 0, 5, 8, 10, 13, 15, 12, 6, 3),
    (16, 5, 2, 0, 2, 3, 5, 8, 10, 13, 15, 8, 6),
    (14, 2, 0, 2, 0, 5, 8, 10, 13, 15, 12, 6, 3),
    (19, 8, 5, 3, 5, 0, 3, 5, 7, 10, 18, 11, 9),
    (22, 10, 8, 5, 8, 3, 0, 2, 5, 7, 20, 14, 11),
    (24, 13, 10, 8, 10, 5, 2, 0, 2, 5, 23, 16, 14),
    (26, 15, 13, 10, 13, 7, 5, 2, 0, 2, 25, 19, 16),
    (29, 17, 15, 13, 15, 10, 7, 5, 2, 0, 27, 21, 19),
    (6, 10, 12, 15, 12, 18, 20, 23, 25, 27, 0, 7, 9),
    (8, 3, 6, 8, 6, 11, 14, 16, 19, 21, 7, 0, 2),
    (10, 1, 3, 6, 3, 9, 11, 14, 16, 19, 9, 2, 0),
)
LINE = Line(tuple(zip(LEAST, MOST, strict=True)), LOADED, EMPTY)
REMOVALS = (0, 195, 324, 485, 76, 131, 272, 354, 450, 378, 43, 168, 220)
PUBLISHED = Cycle(521, REMOVALS)


def test_the_data_are_those_of_the_note() -> None:
    for stage in range(13):
        assert LOADED[stage] == EMPTY[stage][(stage + 1) % 13] + 20
        for other in range(13):
            assert EMPTY[stage][other] == EMPTY[other][stage]


def test_the_shortest_period_is_521() -> None:  # CV-103
    found = shortest_cycle(LINE, seconds=120)
    assert found.cycle is not None
    assert found.cycle.period == found.bound == 521
    assert cycle_faults(LINE, found.cycle) == []


def test_the_published_cycle_passes_with_three_parts_in_line() -> None:  # CV-104
    assert cycle_faults(LINE, PUBLISHED) == []
    assert parts_in_line(LINE, PUBLISHED) == 3


@pytest.mark.parametrize("stage", range(1, 13))
def test_a_published_removal_moved_far_is_found(stage: int) -> None:
    moved = list(REMOVALS)
    moved[stage] = (moved[stage] + 260) % 521
    assert cycle_faults(LINE, replace(PUBLISHED, removals=tuple(moved)))


def test_no_cycle_of_520_exists() -> None:  # CV-105
    found = shortest_cycle(LINE, longest=520, seconds=120)
    assert found.cycle is None
    assert found.bound == 521
