"""Checks of overtime against the yard: outside the shifts, and within the limits."""

from __future__ import annotations

from datetime import time
from itertools import combinations

from models.loading.checks.scope import YardScope, repeated
from models.loading.shifts import ends, span
from models.yard import Overtime, OvertimeLimits, TradeCalendar


def check_overtime(scope: YardScope) -> None:
    """Check every entry of overtime by itself, then those of one calendar together."""
    yard = scope.yard
    unlimited = yard.overtime and yard.overtime_limits is None
    if unlimited and scope.whole("overtime_limits"):
        expected = "hours_per_day and hours_per_week where there is overtime"
        scope.fault("overtime_limits", "nothing", expected)
    for name in repeated(one.id for one in yard.overtime):
        scope.fault("overtime", f"'{name}' more than once", "each id once")
    calendars = {one.id: one for one in yard.calendars}
    known = scope.known("calendars", calendars)
    for one in yard.overtime:
        where = f"overtime.{one.id}"
        scope.refer(f"{where}.calendar", one.calendar, known, "a calendar")
        _check_ticks(where, one, scope)
        if one.calendar in calendars:
            _check_outside_shifts(where, one, calendars[one.calendar], scope)
        if yard.overtime_limits is not None:
            _check_within_limits(where, one, yard.overtime_limits, scope)
    for one, other in combinations(yard.overtime, 2):
        if one.calendar == other.calendar and _share_time(one, other):
            found = f"{span(other.start, other.end)} as well as that of '{one.id}'"
            expected = "overtime of one calendar that does not overlap"
            scope.fault(f"overtime.{other.id}", found, expected)


def _check_ticks(where: str, one: Overtime, scope: YardScope) -> None:
    tick = scope.yard.tick_minutes
    for at in (one.start, one.end):
        if at.minute % tick:
            scope.fault(where, f"{at:%H:%M}", f"a time on a tick of {tick} minutes")


def _check_outside_shifts(
    where: str, one: Overtime, calendar: TradeCalendar, scope: YardScope
) -> None:
    for shift in calendar.shifts:
        meets = shift.start < ends(one.end) and one.start < ends(shift.end)
        if meets and set(shift.days) & set(one.days):
            expected = f"time outside the shift, {span(shift.start, shift.end)}"
            scope.fault(where, span(one.start, one.end), expected)


def _check_within_limits(
    where: str, one: Overtime, limits: OvertimeLimits, scope: YardScope
) -> None:
    """A window that nobody may work to its end would never be of use."""
    hours = _hours(one.end if one.end != time(0) else None) - _hours(one.start)
    most = min(limits.hours_per_day, limits.hours_per_week)
    if hours > most:
        expected = f"at most {most:g} h, the limit of one person"
        scope.fault(where, f"{hours:g} h", expected)


def _hours(at: time | None) -> float:
    return 24.0 if at is None else at.hour + at.minute / 60


def _share_time(one: Overtime, other: Overtime) -> bool:
    return (
        bool(set(one.days) & set(other.days))
        and one.start < ends(other.end)
        and other.start < ends(one.end)
        and one.first <= other.last
        and other.first <= one.last
    )
