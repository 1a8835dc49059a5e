"""Reading windows of overtime and what one person may work in them."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from models.loading.fields import Code, LocalDate, LocalTime, Positive, Row, Wrong
from models.loading.shifts import Day, ends, span, weekdays
from models.yard import Overtime, OvertimeLimits

_MOST_DAYS = 366


class OvertimeRow(Row):
    """Overtime as a file has it."""

    id: Code
    calendar: Code
    days: Annotated[list[Day], Field(min_length=1)]
    start: LocalTime
    end: LocalTime
    first: LocalDate
    last: LocalDate
    price_per_hour: Annotated[float, Field(ge=0, le=100_000, allow_inf_nan=False)]


def check_overtime_row(row: OvertimeRow) -> OvertimeRow:
    """Refuse times and dates that are in no order, and more than a year of windows."""
    if row.start >= ends(row.end):
        raise Wrong(span(row.start, row.end), "overtime that ends after it starts")
    found = f"{row.first} to {row.last}"
    if row.first > row.last:
        raise Wrong(found, "a first day that is not after the last day")
    if (row.last - row.first).days > _MOST_DAYS:
        raise Wrong(found, "at most a year")
    return row


class OvertimeLimitsRow(Row):
    """Limits of overtime as a file has them."""

    hours_per_day: Annotated[Positive, Field(le=24)]
    hours_per_week: Annotated[Positive, Field(le=168)]


def to_overtime(row: OvertimeRow) -> Overtime:
    """Turn read overtime into plain data."""
    return Overtime(
        row.id,
        row.calendar,
        weekdays(row.days),
        row.start,
        row.end,
        row.first,
        row.last,
        row.price_per_hour,
    )


def to_overtime_limits(row: OvertimeLimitsRow | None) -> OvertimeLimits | None:
    """Turn read limits into plain data."""
    if row is None:
        return None
    return OvertimeLimits(row.hours_per_day, row.hours_per_week)
