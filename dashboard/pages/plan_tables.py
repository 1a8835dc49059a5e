"""Table twins of the drawings of the plan."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from dashboard.causes import cause_of
from dashboard.pages.tables import Cell, column, figures, grid
from dashboard.wording import where

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from dashboard.figures.book import BookHours
    from dashboard.figures.crews import Shift
    from dashboard.figures.holds import Shut
    from dashboard.view import Held, Row, View

Component = Any
_TIME = "%Y-%m-%d %H:%M"


def operations(view: View, rows: Sequence[Row]) -> Component:
    """Operations of the window; a chosen row is told about in the details."""
    cause = cause_of(view)
    columns = [
        column("order", "Order", 90, pinned="left"),
        column("name", "Operation", 210),
        column("from", "From", 146),
        column("to", "To", 146),
        column("station", "Station", 140),
        figures("hours", "Labor hours", 85),
        figures("crew", "Crew", 70),
        column("people", "People", 140),
        column("in", "Mold, place", 140),
        column("state", "State", 85),
        column("cause", "Waited for", 320),
    ]
    cells: list[dict[str, Cell]] = [
        {
            "id": row.id,
            "order": row.order,
            "name": row.name,
            "from": row.begins.strftime(_TIME),
            "to": row.ends.strftime(_TIME),
            "station": row.station,
            "hours": round(row.hours, 1),
            "crew": row.crew,
            "people": row.people,
            "in": where(row),
            "state": row.state,
            "cause": cause(row.id),
        }
        for row in sorted(rows, key=lambda one: (one.begins, one.id))
    ]
    return grid("plan-table", "Operations of this window", columns, cells)


def holds(held: Sequence[Held], shut: Sequence[Shut]) -> Component:
    """Molds and places: who is in them, from when to when, and when nobody may be."""
    columns = [
        column("resource", "Mold or place", 130),
        column("kind", "Kind", 90),
        column("order", "Order", 100),
        column("part", "Part, or why shut", 150),
        column("from", "From", 150),
        column("to", "To", 150),
        figures("days", "Days", 90),
    ]
    taken = [
        _stay(one.resource, one.is_mold, one.order, one.part, one.begins, one.ends)
        for one in held
    ]
    closed = [
        _stay(one.resource, one.is_mold, "", one.why, one.begins, one.ends)
        for one in shut
    ]
    cells = sorted(
        taken + closed, key=lambda one: (str(one["resource"]), str(one["from"]))
    )
    return grid("holds-table", "Molds and places in this window", columns, cells)


def _stay(
    resource: str,
    is_mold: bool,
    order: str,
    part: str,
    begins: datetime,
    ends: datetime,
) -> dict[str, Cell]:
    return {
        "resource": resource,
        "kind": "mold" if is_mold else "place",
        "order": order,
        "part": part,
        "from": begins.strftime(_TIME),
        "to": ends.strftime(_TIME),
        "days": round((ends - begins).total_seconds() / 86400, 1),
    }


def shifts(worked: Sequence[Shift]) -> Component:
    """People: which operation they are on, from when to when."""
    columns = [
        column("skill", "Skill", 170),
        column("person", "Person", 100),
        column("order", "Order", 100),
        column("name", "Operation", 230),
        column("station", "Station", 160),
        column("from", "From", 150),
        column("to", "To", 150),
    ]
    cells: list[dict[str, Cell]] = [
        {
            "id": one.row.id,
            "skill": one.skill,
            "person": one.person,
            "order": one.row.order,
            "name": one.row.name,
            "station": one.row.station,
            "from": one.begins.strftime(_TIME),
            "to": one.ends.strftime(_TIME),
        }
        for one in worked
    ]
    return grid("crew-table", "People in this window", columns, cells)


def book(data: BookHours) -> Component:
    """Boats by week: labor hours."""
    columns = [
        column("order", "Order", 95, pinned="left"),
        column("model", "Model", 130),
        column("due", "Due", 110),
        column("finish", "Finish", 110),
        *(
            figures(f"w{k}", f"W{week:%V} {week:%b} {week.day}", 78)
            for k, week in enumerate(data.weeks)
        ),
    ]
    cells: list[dict[str, Cell]] = []
    for boat, hours in zip(data.boats, data.hours):
        row: dict[str, Cell] = {
            "order": boat.order,
            "model": boat.model,
            "due": boat.due.isoformat() if boat.due else "",
            "finish": boat.finish.date().isoformat(),
        }
        row |= {f"w{k}": round(float(value), 1) for k, value in enumerate(hours)}
        cells.append(row)
    return grid("book-table", "Labor hours by boat and week", columns, cells)
