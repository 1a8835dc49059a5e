"""Reading shifts, and the days and hours of people who work less."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import time
from itertools import pairwise
from typing import Annotated, Literal

from pydantic import AfterValidator, Field

from models.loading.fields import LocalTime, Row, Wrong
from models.yard import PartTime, Shift

_DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
Day = Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"]


def pair(values: list[object]) -> None:
    """Refuse what is not two values."""
    if len(values) != 2:
        raise ValueError("two values, from and to")


def _break(values: list[time]) -> list[time]:
    pair(list(values))
    return values


def ends(at: time) -> time:
    """Make midnight at the end of the day comparable."""
    return time.max if at == time(0) else at


class ShiftRow(Row):
    """A shift as a file has it."""

    days: Annotated[list[Day], Field(min_length=1)]
    start: LocalTime
    end: LocalTime
    breaks: list[Annotated[list[LocalTime], AfterValidator(_break)]] = Field(
        default_factory=list
    )


def check_shift(row: ShiftRow) -> ShiftRow:
    """Refuse a shift or breaks that are in no order of time."""
    if row.start >= ends(row.end):
        raise Wrong(
            span(row.start, row.end),
            "a shift that ends after it starts (part one that runs past midnight in "
            "two)",
        )
    for first, last in row.breaks:
        if first >= ends(last):
            raise Wrong(span(first, last), "a break that ends after it starts")
        if first < row.start or ends(last) > ends(row.end):
            wanted = f"a break inside the shift, {span(row.start, row.end)}"
            raise Wrong(span(first, last), wanted)
    for one, other in pairwise(sorted(row.breaks)):
        if other[0] < one[1]:
            wanted = "breaks that do not overlap each other"
            raise Wrong(f"{span(*one)} and {span(*other)}", wanted)
    return row


def span(start: time, end: time) -> str:
    """Name a span of the clock."""
    return f"{start:%H:%M} to {end:%H:%M}"


class PartTimeRow(Row):
    """Part time as a file has it."""

    days: Annotated[list[Day], Field(min_length=1)] | None = None
    start: LocalTime | None = None
    end: LocalTime | None = None


def check_part_time(row: PartTimeRow) -> PartTimeRow:
    """Refuse part time that says nothing, or ends before it starts."""
    if row.days is None and row.start is None and row.end is None:
        raise Wrong("part time without days or hours", "days, start or end")
    if row.start and row.end is not None and row.start >= ends(row.end):
        raise Wrong(span(row.start, row.end), "hours that end after they start")
    return row


def to_shift(row: ShiftRow) -> Shift:
    """Turn a read shift into plain data."""
    return Shift(
        days=weekdays(row.days),
        start=row.start,
        end=row.end,
        breaks=tuple((first, last) for first, last in sorted(row.breaks)),
    )


def to_part_time(row: PartTimeRow | None) -> PartTime | None:
    """Turn read part time into plain data."""
    if row is None:
        return None
    days = None if row.days is None else weekdays(row.days)
    return PartTime(days, row.start, row.end)


def weekdays(days: Iterable[str]) -> tuple[int, ...]:
    """ISO numbers of days of the week, 1 for Monday."""
    return tuple(sorted({_DAYS.index(day) + 1 for day in days}))
