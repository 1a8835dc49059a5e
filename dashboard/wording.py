"""Times, spans and counts as they are written on the sheets."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import date, datetime

    from dashboard.view import Boat, Row


def day(value: date | None) -> str:
    """A date with its weekday, ISO: Mon 2026-11-30."""
    return f"{value:%a} {value.isoformat()}" if value else "none"


def moment(value: datetime) -> str:
    """A time in the yard: Mon 2026-11-30 06:00."""
    return f"{value:%a %Y-%m-%d %H:%M}"


def span(begins: datetime, ends: datetime) -> str:
    """From one time to another, the date said once if it is the same."""
    if begins.date() == ends.date():
        return f"{moment(begins)} to {ends:%H:%M}"
    return f"{moment(begins)} to {moment(ends)}"


def count(number: int, noun: str, plural: str | None = None) -> str:
    """A number with its noun: 1 boat, 2 boats."""
    return f"{number:,} {noun if number == 1 else plural or noun + 's'}"


def hours(value: float) -> str:
    """Labor hours to a tenth, whole where large."""
    return f"{value:,.0f}" if value >= 100 else f"{value:,.1f}"


def days_late(days: int | None) -> str:
    """Working days early or late, in words."""
    if days is None:
        return "no date to meet"
    if days == 0:
        return "on the day"
    return f"{count(abs(days), 'working day')} {'late' if days > 0 else 'early'}"


def due(boat: Boat) -> str:
    """What a boat is measured against."""
    if boat.promised:
        return f"promised {boat.promised.isoformat()}"
    if boat.wanted:
        return f"wanted {boat.wanted.isoformat()}"
    return "no date"


def manned(row: Row) -> str:
    """Who is on an operation and for how many labor hours."""
    if row.state == "done":
        return f"done, {hours(row.hours)} labor hours"
    if not row.crew:
        return "no crew"
    people = count(row.crew, "person", "people")
    if row.people.count(",") >= row.crew:  # they change at a break or stop
        people += " at a time"
    return f"{people} ({row.people}), {hours(row.hours)} labor hours"


def where(row: Row) -> str:
    """Mold and place in which the parts of an operation stand."""
    told = []
    if row.mold:
        told.append(f"mold {row.mold}")
    if row.place:
        told.append(row.place)
    return ", ".join(told) or "none"


def ago(seconds: float) -> str:
    """How old something is: 3 hours, 2 days."""
    minutes = max(0, int(seconds // 60))
    if minutes < 1:
        return "less than a minute"
    if minutes < 120:
        return count(minutes, "minute")
    if minutes < 48 * 60:
        return count(minutes // 60, "hour")
    return count(minutes // (24 * 60), "day")


def percent(share: float) -> str:
    """A share as a percentage: 57 %."""
    return f"{100 * share:.0f} %"
