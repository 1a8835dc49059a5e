"""Days of equal length on an axis, and what lies between them."""

from __future__ import annotations

import numpy as np

from scheduler.cp_model.axes import TickAxis
from scheduler.cp_model.days import find_days

DAY = 96
WEEKDAY = np.arange(24, 56)
SATURDAY = np.arange(24, 48)


def week_axis(weeks: int, saturdays: set[int]) -> TickAxis:
    """Five days of 32 ticks a week, and six hours on some Saturdays."""
    days = [
        (week * 7 + day) * DAY + (SATURDAY if day == 5 else WEEKDAY)
        for week in range(weeks)
        for day in range(6)
        if day < 5 or week in saturdays
    ]
    return TickAxis(np.concatenate(days), weeks * 7 * DAY, DAY)


def test_a_saturday_is_counted_back_from_monday() -> None:
    """Its ticks belong to the next day, each earlier by one."""
    axis = week_axis(3, {0, 1})
    days = find_days(axis, 0, len(axis) - 1)
    assert days is not None
    assert (days.length, len(days.firsts), days.end) == (32, 15, len(axis))
    assert np.flatnonzero(days.odd).tolist() == [5, 10]
    assert days.odd[5] == 24
    for index in range(len(axis)):
        day, place, early = (int(one) for one in days.spot(index))
        assert index == days.firsts[day] + place - early
        assert not (place and early)
        assert day == days.day_of(index)
    assert [int(one) for one in days.spot(160)] == [5, 0, 24]
    assert [int(one) for one in days.spot(183)] == [5, 0, 1]
    assert [int(one) for one in days.spot(184)] == [5, 0, 0]
    assert days.day_of(len(axis)) == 15
    assert days.opening(3, early=False)[5] == 187
    assert days.opening(3, early=True)[5] == 160


def test_a_range_may_end_in_an_odd_day() -> None:
    """The day after it is taken in, if there is one like the others."""
    axis = week_axis(3, {0, 2})
    days = find_days(axis, 0, 170)
    assert days is not None
    assert len(days.firsts) == 6
    assert find_days(axis, 200, len(axis) - 1) is None


def test_days_that_differ_are_none() -> None:
    """A single day, and days of which half are of another length."""
    axis = week_axis(2, set())
    assert find_days(axis, 0, 31) is None
    mixed = [day * DAY + (WEEKDAY if day % 2 else SATURDAY) for day in range(8)]
    assert find_days(TickAxis(np.concatenate(mixed), 8 * DAY, DAY), 0, 200) is None


def test_breaks_part_no_day_and_make_no_run() -> None:
    """A day with a break in it is whole, and nothing fits into it in one go."""
    broken = np.delete(WEEKDAY, slice(12, 14))
    days = [day * DAY + broken for day in range(5)]
    axis = TickAxis(np.concatenate(days), 5 * DAY, DAY)
    found = find_days(axis, 0, len(axis) - 1)
    assert found is not None
    assert found.length == 30
    assert not found.are_runs(axis, early=False)
    whole = week_axis(2, {0})
    alike = find_days(whole, 0, 250)
    assert alike is not None
    assert alike.are_runs(whole, early=True)
