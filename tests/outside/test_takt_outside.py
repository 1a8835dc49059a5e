"""Pace and throughput against published and derived figures."""

from __future__ import annotations

import pytest

from models.hours import whole_ticks
from models.takt import (
    balance_delay,
    elapsed_hours,
    fewest_stations,
    line_efficiency,
    people_needed,
    takt_time,
    units_due,
    whole_people,
)
from scheduler.throughput import Room, throughput_bound

# Minutes of the 11-task file of the public line-balancing set (data of CV-14).
TASKS = (6, 2, 5, 7, 1, 2, 3, 6, 5, 5, 4)


def bound_of(molds: int, bays: int) -> tuple[float, tuple[str, ...]]:
    """Bound the yard of CV-25 with some molds and bays."""
    rooms = (Room("mold", molds, 9), Room("bay", bays, 12), Room("finish", 1, 4))
    found = throughput_bound(250, rooms)
    return found.bound, found.limited_by


def test_takt_time() -> None:
    """CV-10, CV-11 (derived from the definition): time available over units wanted."""
    assert takt_time(820, 80) == 10.25
    assert takt_time(24_000, 80) == 300


def test_people_for_a_volume() -> None:
    """CV-12 (derived): 650 h x 40 boats over 1,760 h x 85 % is 17.3797, so 18."""
    needed = people_needed(650, 40, 1760, 0.85)
    assert needed == pytest.approx(17.3797, abs=1e-4)
    assert whole_people(needed) == 18


def test_whole_ticks_from_hours() -> None:
    """CV-13 (derived): 24 h / 3 is 32 ticks, 25 h / 3 rounds up to 34, 8.5 h."""
    assert whole_ticks(24, 3, 15) == 32
    assert whole_ticks(25, 3, 15) == 34
    assert elapsed_hours(25, 3, 15) == 8.5


@pytest.mark.parametrize(
    ("cycle", "stations", "efficiency"),
    [(10, 5, 0.92), (21, 3, 0.7302), (7, 8, 0.8214)],
)
def test_efficiency_of_a_balanced_line(
    cycle: int, stations: int, efficiency: float
) -> None:
    """CV-17 (derived on the 11-task file of the public line-balancing set)."""
    assert sum(TASKS) == 46
    found = line_efficiency(TASKS, stations, cycle)
    assert found == pytest.approx(efficiency, abs=1e-4)


def test_balance_delay() -> None:
    """CV-20 (derived): one less the efficiency of CV-17's first case is 0.08."""
    assert balance_delay(TASKS, 5, 10) == pytest.approx(0.08, abs=1e-12)


def test_theoretical_minimum_of_stations() -> None:
    """CV-16, bounds only (derived): ceil(46 / 7) is 7 and ceil(46 / 8) is 6."""
    assert fewest_stations(TASKS, 7) == 7
    assert fewest_stations(TASKS, 8) == 6


def test_line_of_balance() -> None:
    """CV-21 (derived): 0.5 a week from week 10, lead 4 weeks, week 12: 3 are due."""
    assert units_due(0.5, 10, 4, 12) == 3


def test_the_mold_bounds_the_throughput() -> None:
    """CV-25 (derived): 250 days, mold 27.778, bay 41.667, finish 62.5."""
    rooms = (Room("mold", 1, 9), Room("bay", 2, 12), Room("finish", 1, 4))
    found = throughput_bound(250, rooms)
    assert found.bound == pytest.approx(27.778, abs=1e-3)
    assert found.limited_by == ("mold",)
    assert found.limits["bay"] == pytest.approx(41.667, abs=1e-3)
    assert found.limits["finish"] == pytest.approx(62.5, abs=1e-3)


def test_a_second_mold_moves_the_bottleneck() -> None:
    """CV-26 (derived): with two molds the bay limits, and a third mold adds nothing."""
    bound, limited_by = bound_of(2, 2)
    assert bound == pytest.approx(41.667, abs=1e-3)
    assert limited_by == ("bay",)
    assert bound_of(3, 2) == (bound, limited_by)


def test_then_a_third_bay() -> None:
    """CV-27 (derived): 55.556 by the mold; with three of each, bay and finish tie."""
    bound, limited_by = bound_of(2, 3)
    assert bound == pytest.approx(55.556, abs=1e-3)
    assert limited_by == ("mold",)
    bound, limited_by = bound_of(3, 3)
    assert bound == pytest.approx(62.5, abs=1e-3)
    assert limited_by == ("bay", "finish")
