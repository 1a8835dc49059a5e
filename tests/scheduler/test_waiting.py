"""Waits count what they say: time on the wall, or open time of a calendar."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from scheduler.building.build import build_problem
from scheduler.problem import Wait
from scheduler.waiting import WaitClock, limits
from tests.scheduler.one_by_one import ticks_of
from tests.scheduler.small_book import small_book

PROBLEM = build_problem(small_book())
CLOCK = WaitClock(PROBLEM)
SHOP = ticks_of(PROBLEM.calendars[0].open)
WALL = next(one for one in PROBLEM.waits if one.kind == "bond")
WORK = next(one for one in PROBLEM.waits if one.clock == "work")
TICKS = st.integers(-100, PROBLEM.axis.ticks + 100)


@given(st.integers(0, 10_000), st.integers(0, 10_000), st.sampled_from([5, 15, 20, 60]))
def test_limits_round_toward_safety(low: int, high: int, tick_minutes: int) -> None:
    """The least wait in ticks is never shorter, the most never longer, than stated."""
    wait = replace(WALL, min_minutes=low, max_minutes=high)
    least, most = limits(wait, tick_minutes)
    assert low <= least * tick_minutes < low + tick_minutes
    assert most is not None
    assert high - tick_minutes < most * tick_minutes <= high
    assert limits(replace(WALL, max_minutes=None), tick_minutes)[1] is None


@given(TICKS, TICKS)
def test_gaps_on_the_wall_are_plain_time(since: int, until: int) -> None:
    """On the wall clock all time counts."""
    assert CLOCK.gap(WALL, since, until) == until - since


@given(TICKS, TICKS)
def test_gaps_on_the_work_clock_are_open_time(since: int, until: int) -> None:
    """On the work clock only the open ticks of the wait's calendar count."""
    low, high = sorted((since, until))
    passed = sum(low <= tick < high for tick in SHOP)
    assert CLOCK.gap(WORK, since, until) == (passed if until >= since else -passed)


@given(st.integers(0, PROBLEM.axis.ticks // 2))
def test_an_operation_may_begin_at_the_first_tick_of_a_shift(earliest: int) -> None:
    """The first usable instant is the first open or break tick from the earliest on."""
    rig = next(one for one in PROBLEM.operations if one.code == "rig")
    usable = SHOP | ticks_of(PROBLEM.calendars[0].breaks)
    expected = earliest
    while expected not in usable:
        expected += 1
    assert CLOCK.first_usable(replace(rig, earliest=earliest)) == expected
    nothing = replace(rig, earliest=earliest, skill=None, duration_minutes=0)
    assert CLOCK.first_usable(nothing) == earliest


@given(st.integers(0, 2000), st.integers(0, 2000), st.integers(0, 4000))
def test_a_wait_is_lost_when_no_start_is_left(
    since: int, earliest: int, minutes: int
) -> None:
    """A maximum is lost if even the first usable instant comes too late."""
    rig = next(one for one in PROBLEM.operations if one.code == "rig")
    rig = replace(rig, earliest=earliest)
    wait: Wait = replace(WALL, max_minutes=minutes)
    first = CLOCK.first_usable(rig)
    assert CLOCK.is_lost(wait, since, rig) == (15 * (first - since) > minutes)
    assert not CLOCK.is_lost(replace(wait, max_minutes=None), since, rig)
