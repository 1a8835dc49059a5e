"""Line balance by the constraint model: a station is a shift that no task may cross.

Tasks in the order of the line, each in one go, one person, shifts as long as the cycle:
the tasks done in one shift are those of one station, so the shift in which the last one
ends is the least number of stations.
"""

from __future__ import annotations

import pytest

from models.takt import fewest_stations
from scheduler.problem import Problem
from tests.outside.small_shop import after, operation, shop, shortest

# The 11-task file of the public line-balancing set (data of CV-14), minutes.
TASKS = {1: 6, 2: 2, 3: 5, 4: 7, 5: 1, 6: 2, 7: 3, 8: 6, 9: 5, 10: 5, 11: 4}
ARCS = (
    (1, 2), (1, 3), (1, 4), (1, 5), (2, 6), (3, 7), (4, 7), (5, 7), (6, 8), (7, 9),
    (8, 10), (9, 11), (10, 11),
)  # fmt: skip
APART = 100  # minutes between the starts of two shifts, more than any cycle


def line(cycle: int, shifts: int) -> Problem:
    """The tasks as one-go work of one person in shifts of the cycle's length."""
    tasks = [
        operation("line", f"{task}", minutes, skill="any", crew=(1, 1), one_go=True)
        for task, minutes in TASKS.items()
    ]
    return shop(
        tasks,
        ticks=APART * shifts,
        people=[["any"]],
        waits=[after(f"line/{before}", f"line/{then}") for before, then in ARCS],
        opened=tuple((APART * n, APART * n + cycle) for n in range(shifts)),
    )


def stations(cycle: int) -> int:
    """The proven least number of stations."""
    last = shortest(line(cycle, len(TASKS)))[0]
    return 1 + (last - 1) // APART


@pytest.mark.parametrize(
    ("cycle", "number"),
    [
        (7, 8), (8, 7), (9, 6), (10, 5), (11, 5), (12, 4), (13, 4), (14, 4), (15, 4),
        (18, 3), (21, 3), (23, 2), (24, 2), (46, 1),
    ],
)  # fmt: skip
def test_fewest_stations(cycle: int, number: int) -> None:
    """CV-14 (data published; 7, 9, 10, 13, 14, 21 from memory; all recomputed)."""
    assert stations(cycle) == number
    assert fewest_stations(list(TASKS.values()), cycle) <= number


def test_the_theoretical_minimum_is_not_always_reached() -> None:
    """CV-16 (derived, recomputed): bounds 7 and 6, optima 8 and 7."""
    times = list(TASKS.values())
    assert [fewest_stations(times, cycle) for cycle in (7, 8)] == [7, 6]
    assert [stations(cycle) for cycle in (7, 8)] == [8, 7]


@pytest.mark.parametrize(
    ("number", "cycle"),
    [(1, 46), (2, 23), (3, 16), (4, 12), (5, 10), (6, 9), (7, 8), (8, 7)],
)
def test_smallest_cycle(number: int, cycle: int) -> None:
    """CV-15 (derived, recomputed): so many stations do at this cycle and not below.

    At 6 minutes no station holds the task of 7.
    """
    assert stations(cycle) <= number
    if cycle - 1 >= max(TASKS.values()):
        assert stations(cycle - 1) > number
