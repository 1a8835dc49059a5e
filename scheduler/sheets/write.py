"""Writing the pages of sheets, travellers and their index into a folder."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape
from typing import TYPE_CHECKING

from scheduler.plan_file import write_text
from scheduler.sheets.page import banner, document, table
from scheduler.sheets.sheet_page import day_page
from scheduler.sheets.traveller_page import traveller_page
from scheduler.sheets.wording import hours, moment

if TYPE_CHECKING:
    from pathlib import Path

    from scheduler.sheets.day import CrewSheet
    from scheduler.sheets.floor import Floor
    from scheduler.sheets.traveller import Traveller

INDEX = "index.html"


@dataclass(frozen=True, slots=True)
class Written:
    """One file of sheets and what is in it."""

    path: Path
    days: tuple[CrewSheet, ...] = ()
    boat: Traveller | None = None


def write_sheets(
    floor: Floor,
    days: Iterable[Sequence[CrewSheet]],
    boats: Iterable[Traveller],
    folder: Path,
    further: Sequence[Path] = (),
) -> list[Written]:
    """Write a page for each day and boat, and an index of these and `further` files.

    `days` has the sheets of each day, at least one. Other files in the folder stay.
    """
    written = []
    for sheets in days:
        path = folder / f"sheet-{sheets[0].day}.html"
        write_text(day_page(floor, sheets), path)
        written.append(Written(path, days=tuple(sheets)))
    names: set[str] = set()
    for boat in boats:
        path = folder / _file_name(boat.order, names)
        write_text(traveller_page(floor, boat), path)
        written.append(Written(path, boat=boat))
    write_text(_index(floor, written, further), folder / INDEX)
    return written


def _file_name(order: str, taken: set[str]) -> str:
    """A name that any system of files takes, no two of them alike."""
    stem = "traveller-" + re.sub(r"[^A-Za-z0-9._-]+", "-", order)
    name, number = f"{stem}.html", 1
    while name.casefold() in taken:
        number += 1
        name = f"{stem}-{number}.html"
    taken.add(name.casefold())
    return name


def _index(floor: Floor, written: Sequence[Written], further: Sequence[Path]) -> str:
    told = [
        f"{floor.names.yard}, times in {floor.plan.problem.axis.zone_name}. Each file "
        "is printed by the browser; a day's sheets begin on a new page for each crew.",
        floor.note,
    ]
    body = [
        banner("Sheets and travellers", told),
        *_days(written),
        *_boats(floor, written),
    ]
    for path in further:
        body.append(f'<p><a href="{escape(path.name)}">{escape(path.name)}</a></p>')
    return document(floor, f"Sheets, {floor.names.yard}", body, kind="index")


def _days(written: Sequence[Written]) -> Iterable[str]:
    rows = []
    for file in written:
        for number, one in enumerate(file.days, 1):
            link = f'<a href="{file.path.name}#crew-{number}">{escape(one.crew)}</a>'
            whole = f'<a href="{file.path.name}">{one.day:%a %Y-%m-%d}</a>'
            cells = [whole, link, str(len(one.steps)), hours(one.day_hours)]
            rows.append("".join(f"<td>{cell}</td>" for cell in cells))
    if rows:
        heads = (("Day", 30), ("Crew", 40), ("Steps", 12), ("Labor-hours", 18))
        yield "<h2>Crews</h2>"
        yield from table("", heads, (f"<tr>{row}</tr>" for row in rows))


def _boats(floor: Floor, written: Sequence[Written]) -> Iterable[str]:
    rows = []
    for file in written:
        if file.boat is not None:
            name = escape(file.boat.order)
            cells = [
                f'<a href="{file.path.name}">{name}</a>',
                escape(floor.names.model(file.boat.model)),
                moment(floor, file.boat.finish),
                str(len(file.boat.stops)),
            ]
            rows.append("".join(f"<td>{cell}</td>" for cell in cells))
    if rows:
        heads = (("Boat", 25), ("Model", 25), ("Planned finish", 35), ("Steps", 15))
        yield "<h2>Travellers</h2>"
        yield from table("", heads, (f"<tr>{row}</tr>" for row in rows))
