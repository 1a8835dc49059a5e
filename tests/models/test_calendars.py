"""Calendars on the axis agree with someone who reads the clock minute by minute."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from models.axis import Axis
from models.calendars import (
    add_working_days,
    available,
    count_working_days,
    expand,
    open_ticks,
    outage_spans,
    own_hours,
    relieved,
    working_days,
)
from models.errors import UsageError
from models.spans import Span, merge
from models.yard import Outage, PartTime, Person, Shift, TradeCalendar
from tests.models.wall_clock import MINUTE, WallClock, axes, axis_from

WEEKDAYS = (1, 2, 3, 4, 5)
DAY_SHIFT = Shift(WEEKDAYS, time(6), time(14, 30), ((time(9), time(9, 15)),))
NIGHT_SHIFTS = (
    Shift((1, 2, 3, 4, 5, 6, 7), time(22), time(0)),
    Shift((1, 2, 3, 4, 5, 6, 7), time(0), time(6), ((time(1, 30), time(2, 15)),)),
)


@lru_cache
def clock_of(axis: Axis) -> WallClock:
    """Read the clock of an axis once."""
    return WallClock(axis)


def ticks(spans: tuple[Span, ...]) -> set[int]:
    """Give the set of ticks that spans cover."""
    return {tick for start, end in spans for tick in range(start, end)}


def clock_times() -> st.SearchStrategy[time]:
    """Draw a time of day, on a quarter of an hour or not."""
    minutes = st.one_of(st.integers(0, 95).map(lambda n: n * 15), st.integers(0, 1439))
    return minutes.map(lambda n: time(n // 60, n % 60))


@st.composite
def shifts(draw: st.DrawFn) -> Shift:
    """Draw a shift with up to two breaks; it may end at midnight."""
    times = sorted(draw(st.sets(clock_times(), min_size=6, max_size=6)))
    days = draw(st.sets(st.integers(1, 7), min_size=1))
    rests = ((times[1], times[2]), (times[3], times[4]))
    end = draw(st.sampled_from((times[5], time(0))))
    count = draw(st.integers(0, 2))
    return Shift(tuple(sorted(days)), times[0], end, rests[:count])


@st.composite
def calendars(draw: st.DrawFn, axis: Axis) -> TradeCalendar:
    """Draw a calendar with up to two shifts and a few holidays on the axis."""
    first = axis.local(0).date()
    holidays = draw(st.sets(st.integers(0, 14), max_size=3))
    return TradeCalendar(
        "drawn",
        tuple(draw(st.lists(shifts(), min_size=1, max_size=2))),
        frozenset(first + timedelta(days=n) for n in holidays),
    )


@settings(deadline=None)
@given(st.data())
def test_open_time_and_breaks_match_the_clock_on_the_wall(data: st.DataObject) -> None:
    """Open ticks and breaks are those of a minute-by-minute reading, in six zones."""
    axis = data.draw(st.sampled_from(axes()))
    calendar = data.draw(calendars(axis))
    opened, breaks = expand(calendar, axis)
    assert (ticks(opened), ticks(breaks)) == clock_of(axis).open_and_breaks(calendar)
    assert opened == merge(opened)
    assert breaks == merge(breaks)


@pytest.mark.parametrize("axis", axes(), ids=lambda one: one.iso(0) + one.zone_name)
def test_nights_over_a_change_of_the_clocks_have_their_true_length(axis: Axis) -> None:
    """A night shift over a change of the clocks is as long as it is on the wall."""
    calendar = TradeCalendar("nights", NIGHT_SHIFTS)
    opened, breaks = expand(calendar, axis)
    assert (ticks(opened), ticks(breaks)) == clock_of(axis).open_and_breaks(calendar)


@settings(deadline=None)
@given(st.data())
def test_a_cure_ends_at_the_first_open_tick_after_its_wall_time(
    data: st.DataObject,
) -> None:
    """A cure runs through nights, weekends, holidays and changes of the clocks."""
    axis = data.draw(st.sampled_from(axes()))
    clock = clock_of(axis)
    calendar = data.draw(
        st.one_of(
            calendars(axis),
            st.just(TradeCalendar("days", (DAY_SHIFT,))),
            st.just(TradeCalendar("nights", NIGHT_SHIFTS)),
        )
    )
    begun = data.draw(st.integers(0, axis.ticks - 1))
    cure_minutes = data.draw(st.integers(0, 5 * 1440))

    instant = axis.instant(begun)
    for _ in range(cure_minutes):
        instant += MINUTE
    opened, _ = clock.open_and_breaks(calendar)
    expected = None
    while instant < axis.instant(axis.ticks):
        tick, late = divmod(instant - axis.start, timedelta(minutes=axis.tick_minutes))
        if not late and tick in opened:
            expected = tick
            break
        instant += MINUTE

    end = begun + -(-cure_minutes // axis.tick_minutes)
    spans, _ = expand(calendar, axis)
    found = open_ticks(spans, axis.ticks).next_open(min(end, axis.ticks))
    assert found == expected


@given(
    st.lists(st.tuples(st.integers(0, 60), st.integers(0, 60)), max_size=6),
    st.integers(0, 60),
    st.integers(0, 60),
)
def test_look_ups_count_and_find_open_ticks(
    spans: list[Span], start: int, end: int
) -> None:
    """The look-ups are inverse to each other and count the open ticks between."""
    look_up = open_ticks(merge(spans), 60)
    opened = sorted(ticks(merge(spans)))
    assert look_up.tick_of.tolist() == opened
    assert look_up.tick_of.dtype == look_up.index_at.dtype == np.int32
    assert len(look_up.index_at) == 61
    first = next((tick for tick in opened if tick >= start), None)
    assert look_up.next_open(start) == first
    if start <= end:
        inside = [tick for tick in opened if start <= tick < end]
        assert look_up.between(start, end) == len(inside)


@settings(deadline=None)
@given(st.data())
def test_leave_takes_whole_local_days(data: st.DataObject) -> None:
    """A person on leave is away for every tick of those local days, and only then."""
    axis = data.draw(st.sampled_from(axes()))
    first = axis.local(0).date() + timedelta(days=data.draw(st.integers(-3, 14)))
    last = first + timedelta(days=data.draw(st.integers(0, 6)))
    calendar = TradeCalendar("nights", NIGHT_SHIFTS)
    person = Person("P1", ("any",), "nights", ((first, last),))
    away = {
        tick for tick in range(axis.ticks) if first <= axis.local(tick).date() <= last
    }
    assert ticks(available(person, calendar, axis)) == (
        ticks(expand(calendar, axis)[0]) - away
    )


def test_outages_take_every_tick_that_they_touch() -> None:
    """Outages are rounded outward, joined where they touch and cut at the axis."""
    axis = axis_from(date(2027, 1, 11), "America/New_York", 3)
    outages = (
        Outage(datetime(2027, 1, 11, 6, 5), datetime(2027, 1, 11, 7)),  # noqa: DTZ001
        Outage(datetime(2027, 1, 11, 7), datetime(2027, 1, 11, 7, 50)),  # noqa: DTZ001
        Outage(datetime(2027, 1, 13, 20), datetime(2027, 1, 19)),  # noqa: DTZ001
    )
    assert outage_spans(outages, axis) == ((24, 32), (272, 288))


@settings(deadline=None)
@given(st.data())
def test_working_days_end_with_their_last_open_tick(data: st.DataObject) -> None:
    """Each local day with open time is listed once, with the end of its open time."""
    axis = data.draw(st.sampled_from(axes()))
    nights = st.just(TradeCalendar("nights", NIGHT_SHIFTS))
    calendar = data.draw(st.one_of(calendars(axis), nights))
    spans, _ = expand(calendar, axis)
    last: dict[date, int] = {}
    for tick in sorted(ticks(spans)):
        last[axis.local(tick).date()] = tick + 1
    assert working_days(spans, axis) == list(last.items())


@given(
    st.sets(st.integers(1, 7), min_size=1),
    st.sets(st.integers(0, 40), max_size=10),
    st.integers(-25, 25),
)
def test_adding_working_days_steps_from_one_to_the_next(
    days: set[int], holidays: set[int], count: int
) -> None:
    """n working days on means that n working days lie after the day, to the end."""
    base = date(2026, 12, 7)
    calendar = TradeCalendar(
        "drawn",
        (Shift(tuple(days), time(7), time(15)),),
        frozenset(base + timedelta(days=n) for n in holidays),
    )
    found = add_working_days(calendar, base, count)
    assert found.isoweekday() in days
    assert found not in calendar.holidays
    one = timedelta(days=1)
    if count > 0:
        assert count_working_days(calendar, base + one, found + one) == count
    elif count < 0:
        assert count_working_days(calendar, found, base) == -count
    else:
        assert count_working_days(calendar, base, found + one) == 1


def test_a_calendar_without_work_has_no_next_working_day() -> None:
    """A calendar that never opens is named rather than searched for ever."""
    with pytest.raises(UsageError, match="'closed' has no working day"):
        add_working_days(TradeCalendar("closed", ()), date(2026, 1, 1), 1)


def test_a_break_counts_as_open_only_between_worked_time() -> None:
    """A relieved break joins the work on both sides; one at a shift's edge does not."""
    opened = ((4, 8), (9, 12), (20, 24))
    breaks = ((3, 4), (8, 9), (12, 13), (24, 25))
    assert relieved(opened, breaks) == ((4, 12), (20, 24))


@pytest.mark.parametrize(
    ("part", "days", "hours"),
    [
        (None, (1, 2, 3, 4, 5), "06:00 14:30 12:00-12:30"),
        (PartTime(days=(1, 3, 6)), (1, 3), "06:00 14:30 12:00-12:30"),
        (PartTime(end=time(12, 15)), (1, 2, 3, 4, 5), "06:00 12:15 12:00-12:15"),
        (PartTime(start=time(12, 30)), (1, 2, 3, 4, 5), "12:30 14:30"),
        (PartTime((5,), time(8), time(0)), (5,), "08:00 14:30 12:00-12:30"),
        (PartTime(start=time(14, 30)), (), ""),
        (PartTime(days=(6,)), (), ""),
    ],
)
def test_part_time_cuts_days_and_shifts(
    part: PartTime | None, days: tuple[int, ...], hours: str
) -> None:
    """What is left of a calendar are its own days and hours that someone works."""
    noon = (time(12), time(12, 30))
    shift = Shift((1, 2, 3, 4, 5), time(6), time(14, 30), (noon,))
    person = Person("P1", ("rig",), "shop", part_time=part)
    own = own_hours(person, TradeCalendar("shop", (shift,)))
    told = [
        f"{one.start:%H:%M} {one.end:%H:%M}"
        + "".join(f" {first:%H:%M}-{last:%H:%M}" for first, last in one.breaks)
        for one in own.shifts
    ]
    assert [one.days for one in own.shifts] == ([days] if days else [])
    assert told == ([hours] if hours else [])


def test_part_time_and_leave_both_count() -> None:
    """Mondays until noon, but for the Monday of leave."""
    axis = Axis(datetime(2027, 2, 1, 5, tzinfo=UTC), 60, 21 * 24, "America/New_York")
    calendar = TradeCalendar("shop", (Shift((1, 2, 3, 4, 5), time(6), time(14)),))
    leave = ((date(2027, 2, 8), date(2027, 2, 8)),)
    person = Person("P1", ("rig",), "shop", leave, PartTime((1,), None, time(12)))
    there = available(person, calendar, axis)
    assert there == ((6, 12), (14 * 24 + 6, 14 * 24 + 12))
