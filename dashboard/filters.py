"""What a page shows, as read from and written to its address.

Every choice is in the address, so that a sheet can be kept, sent and gone back to.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from datetime import date, timedelta
from typing import Any
from urllib.parse import parse_qsl, urlencode

from dashboard.view import monday

BY = ("boats", "holds", "crew", "book")
WEEKS = (2, 4, 6, 8, 12, 26)
USUAL_WEEKS = 12
SHOW = ("all", "late")
LONGEST = 80


@dataclass(frozen=True, slots=True)
class Filters:
    """Choices of all pages; each page reads its own."""

    by: str = "boats"
    start: date | None = None  # Monday; None: the week that holds now
    weeks: int = USUAL_WEEKS
    show: str = "all"
    find: str = ""
    station: str = ""
    table: str = ""  # names of the charts shown as tables, with dots between
    boat: str = ""
    op: str = ""

    def has_table(self, chart: str) -> bool:
        """Whether a chart is shown as a table."""
        return chart in self.table.split(".")

    def with_table(self, chart: str, shown: bool) -> Filters:
        """The same with one chart shown as a table, or drawn."""
        names = [one for one in self.table.split(".") if one and one != chart]
        return replace(self, table=".".join([*names, chart] if shown else names))

    def drawing(self) -> Filters:
        """Only what changes the drawing: not which operation is looked at."""
        return replace(self, boat="", op="")


def read_filters(search: str | None) -> Filters:
    """Read the query of an address; what makes no sense is left at its default."""
    given = dict(parse_qsl((search or "").removeprefix("?")))
    text = {name: given.get(name, "")[:LONGEST] for name in given}
    return Filters(
        by=_one_of(text.get("by"), BY),
        start=_monday(text.get("start")),
        weeks=_weeks(text.get("weeks")),
        show=_one_of(text.get("show"), SHOW),
        find=text.get("find", "").strip(),
        station=text.get("station", ""),
        table=text.get("table", ""),
        boat=text.get("boat", ""),
        op=text.get("op", ""),
    )


def write_filters(filters: Filters) -> str:
    """Write the query of an address; defaults are left out."""
    chosen: dict[str, Any] = {}
    for entry in fields(Filters):
        value = getattr(filters, entry.name)
        if value != entry.default:
            chosen[entry.name] = value.isoformat() if entry.name == "start" else value
    return f"?{urlencode(chosen)}" if chosen else ""


def link(path: str, filters: Filters, **changes: Any) -> str:
    """Address of a page with some choices changed."""
    return path + write_filters(replace(filters, **changes))


def window(filters: Filters, now: date) -> tuple[date, date]:
    """First and last-but-one day that a chart against time shows."""
    first = filters.start or monday(now)
    return first, first + timedelta(days=7 * filters.weeks)


def _one_of(value: str | None, known: tuple[str, ...]) -> str:
    return value if value in known else known[0]


def _weeks(value: str | None) -> int:
    return (
        int(value) if value and value.isdigit() and int(value) in WEEKS else USUAL_WEEKS
    )


def _monday(value: str | None) -> date | None:
    try:
        day = date.fromisoformat(value or "")
    except ValueError:
        return None
    return monday(day) if 2000 <= day.year < 2200 else None
