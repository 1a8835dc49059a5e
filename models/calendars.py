"""Trade calendars laid on the reference axis: open time, breaks, leave, look-ups.

Shifts and breaks are wall-clock readings of the yard's zone. Each is turned into
instants day by day, so a shift that runs over a change of the clocks has its true
length. A tick counts as open only if all of it is; a break takes every tick that it
touches.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from models.axis import Axis, local_instant
from models.errors import UsageError
from models.spans import Span, clip, merge, subtract
from models.yard import Outage, Overtime, Person, Shift, TradeCalendar, Yard

_DAY = timedelta(days=1)
_FURTHEST = 3660  # days without work after which a calendar counts as closed for good


def expand(
    calendar: TradeCalendar, axis: Axis
) -> tuple[tuple[Span, ...], tuple[Span, ...]]:
    """Lay a trade calendar on the axis.

    Returns
    -------
    tuple of spans, tuple of spans
        Open time with breaks and holidays taken out, and the breaks of open days;
        both sorted and joined where they touch. Where two shifts overlap, a break of
        one is open time if the other works through it.
    """
    return _expand(calendar, axis)


@lru_cache(maxsize=256)
def _expand(
    calendar: TradeCalendar, axis: Axis
) -> tuple[tuple[Span, ...], tuple[Span, ...]]:
    opened: list[Span] = []
    breaks: list[Span] = []
    for day in _days(axis):
        if day in calendar.holidays:
            continue
        for shift in calendar.shifts:
            if day.isoweekday() in shift.days:
                work, rest = _lay_shift(shift, day, axis)
                opened += work
                breaks += rest
    opened_spans = clip(merge(opened), 0, axis.ticks)
    break_spans = clip(merge(breaks), 0, axis.ticks)
    return opened_spans, subtract(break_spans, opened_spans)


def _days(axis: Axis) -> Iterator[date]:
    """Local days that have time on the axis."""
    day, last = axis.local(0).date(), axis.local(axis.ticks).date()
    while day <= last:
        yield day
        day += _DAY


def _lay_shift(
    shift: Shift, day: date, axis: Axis
) -> tuple[tuple[Span, ...], tuple[Span, ...]]:
    start = axis.tick_ceil(_reading(day, shift.start, axis))
    end = axis.tick_floor(_reading(day, shift.end, axis, ends=True))
    rests = merge(
        (
            axis.tick_floor(_reading(day, first, axis)),
            axis.tick_ceil(_reading(day, last, axis, ends=True)),
        )
        for first, last in shift.breaks
    )
    rests = clip(rests, start, end)
    whole = ((start, end),) if start < end else ()
    return subtract(whole, rests), rests


def _reading(day: date, at: time, axis: Axis, *, ends: bool = False) -> datetime:
    """Give the instant of a wall-clock reading; 00:00 ends a day at midnight."""
    if ends and at == time(0):
        day += _DAY
    midnight, change = _midnight(day, axis.zone_name)
    if change:
        return local_instant(day, at, axis.zone)
    return midnight + timedelta(hours=at.hour, minutes=at.minute)


@lru_cache(maxsize=16384)
def _midnight(day: date, zone_name: str) -> tuple[datetime, bool]:
    """Give the instant at which a local day begins, and whether its clocks change."""
    zone = ZoneInfo(zone_name)
    first = local_instant(day, time(0), zone)
    after = local_instant(day + _DAY, time(0), zone)
    return first, after - first != _DAY


def day_span(first: date, last: date, axis: Axis) -> Span:
    """Ticks from the start of one local day to the end of another, both included."""
    return axis.day_start(first), axis.day_start(last + _DAY)


def own_hours(person: Person, calendar: TradeCalendar) -> TradeCalendar:
    """The calendar as one person works it: part time cuts its days and shifts."""
    part = person.part_time
    if part is None:
        return calendar
    shifts = []
    for shift in calendar.shifts:
        days = tuple(day for day in shift.days if part.days is None or day in part.days)
        start, end = max(shift.start, part.start or shift.start), shift.end
        if part.end is not None:
            end = min(shift.end, part.end, key=_day_end)
        if days and start < _day_end(end):
            rests = tuple(
                (max(first, start), min(last, end, key=_day_end))
                for first, last in shift.breaks
                if first < _day_end(end) and start < _day_end(last)
            )
            shifts.append(Shift(days, start, end, rests))
    return replace(calendar, shifts=tuple(shifts))


def _day_end(at: time) -> time:
    return time.max if at == time(0) else at


def available(person: Person, calendar: TradeCalendar, axis: Axis) -> tuple[Span, ...]:
    """When a person is at work: their hours of the calendar less days of leave."""
    leave = (day_span(first, last, axis) for first, last in person.leave)
    return subtract(expand(own_hours(person, calendar), axis)[0], leave)


def overtime_span(one: Overtime, day: date, axis: Axis) -> Span:
    """Ticks of a window of overtime on a local day."""
    start = axis.tick_ceil(_reading(day, one.start, axis))
    return start, axis.tick_floor(_reading(day, one.end, axis, ends=True))


def overtime_spans(
    calendar: TradeCalendar, day: date, yard: Yard, axis: Axis
) -> tuple[Span, ...]:
    """Ticks of every window that a yard offers on a calendar on a local day."""
    return tuple(
        overtime_span(one, day, axis)
        for one in yard.overtime
        if one.calendar == calendar.id and offers(one, day, calendar)
    )


def offers(one: Overtime, day: date, calendar: TradeCalendar) -> bool:
    """Whether there is overtime on a local day; never on a holiday of the calendar."""
    offered = one.first <= day <= one.last and day.isoweekday() in one.days
    return offered and day not in calendar.holidays


def outage_spans(outages: Iterable[Outage], axis: Axis) -> tuple[Span, ...]:
    """Ticks that outages touch, joined and clipped to the axis."""
    spans = (
        (
            axis.tick_floor(
                local_instant(one.start.date(), one.start.time(), axis.zone)
            ),
            axis.tick_ceil(local_instant(one.end.date(), one.end.time(), axis.zone)),
        )
        for one in outages
    )
    return clip(merge(spans), 0, axis.ticks)


def working_days(open_spans: Iterable[Span], axis: Axis) -> list[tuple[date, int]]:
    """List the local days that have open time, each with the end of its open time.

    Open time that runs through midnight ends the day there and goes on the next day.
    """
    days: list[tuple[date, int]] = []
    for start, end in open_spans:
        at = start
        while at < end:
            day = axis.local(at).date()
            until = min(end, max(axis.day_start(day + _DAY), at + 1))
            if days and days[-1][0] == day:
                days[-1] = (day, until)
            else:
                days.append((day, until))
            at = until
    return days


def is_working_day(calendar: TradeCalendar, day: date) -> bool:
    """Whether a calendar has a shift on a local day."""
    return day not in calendar.holidays and any(
        day.isoweekday() in shift.days for shift in calendar.shifts
    )


def add_working_days(calendar: TradeCalendar, day: date, count: int) -> date:
    """Give the count-th working day after a day (before it, where count is negative).

    Zero gives the day itself where it is worked, else the next working day.

    Raises
    ------
    UsageError
        If the calendar has no working day within ten years.
    """
    step = -_DAY if count < 0 else _DAY
    left = abs(count)
    if count == 0:
        day, left = day - _DAY, 1
    idle = 0
    while left:
        day += step
        idle = 0 if is_working_day(calendar, day) else idle + 1
        left -= idle == 0
        if idle > _FURTHEST:
            raise UsageError(f"calendar {calendar.id!r} has no working day near {day}")
    return day


def count_working_days(calendar: TradeCalendar, first: date, after: date) -> int:
    """Count the working days from `first` on, before `after`."""
    days = (first + timedelta(days=n) for n in range((after - first).days))
    return sum(is_working_day(calendar, day) for day in days)


@dataclass(frozen=True)
class OpenTicks:
    """Look-ups of one calendar both ways; all arrays are of 32-bit integers.

    Attributes
    ----------
    tick_of : array
        The reference tick of the i-th open tick.
    index_at : array
        For t from 0 to the number of ticks of the axis: the first i whose
        `tick_of[i]` is at or after t, which is also the number of open ticks before t.
    """

    tick_of: NDArray[np.int32]
    index_at: NDArray[np.int32]

    def next_open(self, tick: int) -> int | None:
        """The first open tick at or after a tick; None where the axis has no more."""
        index = int(self.index_at[tick])
        return int(self.tick_of[index]) if index < len(self.tick_of) else None

    def between(self, start: int, end: int) -> int:
        """How many open ticks lie in [start, end)."""
        return int(self.index_at[end]) - int(self.index_at[start])


def open_ticks(spans: Iterable[Span], axis_ticks: int) -> OpenTicks:
    """Build the look-ups of open spans that lie on the axis."""
    mask = np.zeros(axis_ticks, dtype=np.bool_)
    for start, end in spans:
        mask[start:end] = True
    index_at = np.zeros(axis_ticks + 1, dtype=np.int32)
    np.cumsum(mask, out=index_at[1:], dtype=np.int32)
    return OpenTicks(np.flatnonzero(mask).astype(np.int32), index_at)


def relieved(
    open_spans: tuple[Span, ...], breaks: tuple[Span, ...]
) -> tuple[Span, ...]:
    """Count breaks as open time where work goes on at both of their ends."""
    starts = {start for start, _ in open_spans}
    ends = {end for _, end in open_spans}
    inner = (one for one in breaks if one[0] in ends and one[1] in starts)
    return merge((*open_spans, *inner))
