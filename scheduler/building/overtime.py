"""Windows of overtime on the axis, and what a committed plan leaves open about them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise

from models.axis import Axis
from models.calendars import day_span, offers, overtime_span
from models.spans import clip
from models.yard import Overtime, Person, TradeCalendar, Yard
from scheduler.plan import Plan, Planned
from scheduler.problem import OvertimeLimit, OvertimeWindow, Problem, Span

_DAY = timedelta(days=1)


def overtime_windows(yard: Yard, axis: Axis, now: int) -> tuple[OvertimeWindow, ...]:
    """Every window that ends on the axis and has not begun, in order of time.

    People who work part time, or who may not be asked, are in none.
    """
    calendars = {one.id: one for one in yard.calendars}
    windows = []
    for one in yard.overtime:
        for day in _days(one, calendars[one.calendar]):
            span = overtime_span(one, day, axis)
            if now <= span[0] < span[1] <= axis.ticks:
                people = tuple(
                    person.id
                    for person in yard.people
                    if person.calendar == one.calendar and _may(person, span, axis)
                )
                name = f"{one.id} {day.isoformat()}"
                window = OvertimeWindow(
                    name, one.calendar, span, one.price_per_hour, people
                )
                windows.append(window)
    return tuple(sorted(windows, key=lambda one: (one.window, one.id)))


def overtime_limits(yard: Yard) -> tuple[OvertimeLimit, ...]:
    """The limits of everybody who may be asked for overtime."""
    limits = yard.overtime_limits
    if limits is None:
        return ()
    calendars = {one.calendar for one in yard.overtime}
    return tuple(
        OvertimeLimit(one.id, limits.hours_per_day, limits.hours_per_week)
        for one in yard.people
        if one.calendar in calendars and _may_be_asked(one)
    )


def _may_be_asked(person: Person) -> bool:
    return person.part_time is None and person.overtime


def _days(one: Overtime, calendar: TradeCalendar) -> Iterator[date]:
    days = (one.first + n * _DAY for n in range((one.last - one.first).days + 1))
    return (day for day in days if offers(one, day, calendar))


def _may(person: Person, span: Span, axis: Axis) -> bool:
    leave = (day_span(first, last, axis) for first, last in person.leave)
    return _may_be_asked(person) and not any(clip(leave, *span))


def opened_by(problem: Problem, plan: Plan) -> frozenset[str]:
    """The windows of a problem that a plan of an earlier day has opened."""
    ids = {row.window for row in plan.answer.overtime}
    return frozenset(one.id for one in problem.overtime if one.id in ids)


def with_standing_windows(
    problem: Problem, planned: Mapping[str, Planned], opened: frozenset[str]
) -> Problem:
    """Say of each window whether work that stands is in it, or pauses over it."""
    work = [
        (one.calendar, planned[one.id])
        for one in problem.operations
        if one.id in planned and one.skill is not None
    ]
    windows = []
    for window in problem.overtime:
        first, last = window.window
        standing = None
        for calendar, one in work:
            if calendar != window.calendar or one.finish <= first or one.start >= last:
                continue
            if window.id in opened and any(clip(one.segments, first, last)):
                standing = "opened"
            elif any(a <= first and last <= b for a, b in _pauses(one.segments)):
                standing = "closed"
        windows.append(replace(window, standing=standing))
    return replace(problem, overtime=tuple(windows))


def with_locked_windows(problem: Problem) -> Problem:
    """Open the windows in which the planner has pinned the start of crewed work."""
    calendar_of = {one.id: one.calendar for one in problem.operations if one.skill}
    pinned = [
        (calendar_of.get(one.operation), one.start)
        for one in problem.committed
        if one.why == "locked" and one.start is not None
    ]
    windows = tuple(
        replace(one, standing="opened")
        if any(
            calendar == one.calendar and one.window[0] <= start < one.window[1]
            for calendar, start in pinned
        )
        else one
        for one in problem.overtime
    )
    return replace(problem, overtime=windows)


def _pauses(segments: Iterable[Span]) -> Iterator[Span]:
    return ((one[1], other[0]) for one, other in pairwise(segments))
