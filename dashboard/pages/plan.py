"""Sheet 1: what is built when, in which mold and place, and by whom."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, Any

from dash import html

from dashboard.figures.boats import boats_figure
from dashboard.figures.book import book_figure, book_hours
from dashboard.figures.crews import crews_figure, shifts
from dashboard.figures.holds import hold_bands, holds_figure
from dashboard.figures.lanes import boat_bands, strips
from dashboard.filters import WEEKS, link, window
from dashboard.graph import graph
from dashboard.pages import plan_tables
from dashboard.pages.controls import (
    choice,
    choices,
    nothing,
    select,
    summary,
    text_field,
    twins,
)
from dashboard.pages.legend import legend
from dashboard.wording import count

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from datetime import date

    from dashboard.figures.holds import Shut
    from dashboard.figures.lanes import BoatBand
    from dashboard.filters import Filters
    from dashboard.view import View

Component = Any
PATH = "/plan"
CHART = "plan"
STRIP_LANES = 33.0  # of 13 pixels: what fits on a page of paper with its axis
# No sentence about a drawing, and what stands in its place.
_NOTHING: tuple[str, list[Component]] = (
    "",
    [
        nothing(
            "Nothing to draw: no boat that these choices let through has work in this "
            "window. Choose other weeks, all boats, or clear the search."
        )
    ],
)
_BY = (
    ("boats", "Boats"),
    ("holds", "Molds and places"),
    ("crew", "Crews"),
    ("book", "Whole book"),
)
_TITLES = {
    "boats": "Boats against time",
    "holds": "Molds and places against time",
    "crew": "Crews against time",
    "book": "The whole book by week",
}


def plan_page(view: View, filters: Filters) -> Component:
    """The sheet for some filters."""
    first, after = window(filters, view.now.date())
    draw: Callable[[View, Filters, date, date], tuple[str, list[Component]]]
    draw = {"boats": _boats, "holds": _holds, "crew": _crews, "book": _book}[filters.by]
    told, drawing = draw(view, filters, first, after)
    shown = filters.has_table(CHART)
    return html.Section(
        [
            html.H1(_TITLES[filters.by]),
            summary(told) if told else None,
            _controls(view, filters, first),
            legend(view, filters.by) if told and not shown else None,
            *drawing,
        ],
        className="plan-sheet",
    )


def _controls(view: View, filters: Filters, first: date) -> Component:
    ways = [
        choice(f"by-{by}", text, link(PATH, filters, by=by), by == filters.by)
        for by, text in _BY
    ]
    rows = [choices("Drawn by", ways)]
    if filters.by != "book":
        rows += [_window(view, filters, first), _span(filters)]
    rows += [
        choices(
            "Boats",
            [
                choice("show-all", "all", link(PATH, filters, show="all"), filters.show
                       == "all"),
                choice("show-late", "late only", link(PATH, filters, show="late"),
                       filters.show == "late"),
            ],
        ),
        text_field("find", "Order, model or customer", filters.find, "such as 308"),
        twins(PATH, filters, CHART),
    ]  # fmt: skip
    return html.Div(rows, className="controls")


def _window(view: View, filters: Filters, first: date) -> Component:
    def at(days: int) -> str:
        return link(PATH, filters, start=first + timedelta(days=days))

    week = timedelta(days=7)
    known = []
    day = min(view.first_week, first) - 4 * week
    while day <= max(view.last_week, first):
        known.append((day.isoformat(), f"W{day:%V}, from {day.isoformat()}"))
        day += week
    return html.Div(
        [
            choices(
                "Move",
                [
                    choice("back", "◀ earlier", at(-7 * max(1, filters.weeks // 2))),
                    choice("today", "now", link(PATH, filters, start=None)),
                    choice("ahead", "later ▶", at(7 * max(1, filters.weeks // 2))),
                ],
            ),
            select("start", "From week", known, first.isoformat()),
        ],
        className="window",
    )


def _span(filters: Filters) -> Component:
    return choices(
        "Weeks",
        [
            choice(
                f"weeks-{number}", str(number), link(PATH, filters, weeks=number),
                number == filters.weeks, f"show {number} weeks",
            )
            for number in WEEKS
        ],
    )  # fmt: skip


def _boats(
    view: View, filters: Filters, first: date, after: date
) -> tuple[str, list[Component]]:
    bands = boat_bands(view, filters, first, after)
    if not bands:
        return _NOTHING
    rows = [row for band in bands for row, _ in band.rows]
    late = sum(band.boat.late for band in bands)
    weeks = count(filters.weeks, "week")
    boats = view.counted(band.boat.order for band in bands)
    told = (
        f"In the {weeks} from {first.isoformat()}, {boats} "
        f"{'is' if len(bands) == 1 else 'are'} in work with "
        f"{count(len(rows), 'operation')}; {late} of them will be late."
    )
    if filters.has_table(CHART):
        return told, [plan_tables.operations(view, rows)]
    return told, _strips(view, bands, (first, after), slice(0, 1))


def more_strips(view: View, filters: Filters) -> list[Component]:
    """Strips below the first one: drawn after it, so that something is seen at once."""
    if filters.by != "boats" or filters.has_table(CHART):
        return []
    first, after = window(filters, view.now.date())
    bands = boat_bands(view, filters, first, after)
    return _strips(view, bands, (first, after), slice(1, None))


def _strips(
    view: View, bands: Sequence[BoatBand], days: tuple[date, date], which: slice
) -> list[Component]:
    numbered = list(enumerate(strips(bands, STRIP_LANES)))
    return [
        graph(
            {"type": "strip", "part": part},
            boats_figure(view, strip, *days),
            f"Drawing of {count(len(strip), 'boat')} from {strip[0].boat.order} on. "
            "Choose the table for the same in words.",
        )
        for part, strip in numbered[which]
    ]


def _holds(
    view: View, filters: Filters, first: date, after: date
) -> tuple[str, list[Component]]:
    bands = hold_bands(view, filters, first, after)
    held = [one for band in bands for one, _ in band.held]
    shut = [one for band in bands for one in band.shut]
    if not held:
        return _NOTHING
    used = sum(1 for band in bands if band.held)
    told = (
        f"In the {count(filters.weeks, 'week')} from {first.isoformat()}, {used} of "
        f"{count(len(bands), 'mold or place', 'molds and places')} are taken, by "
        f"{view.counted(one.order for one in held)}{_shut_told(shut)}."
    )
    if filters.has_table(CHART):
        return told, [plan_tables.holds(held, shut)]
    drawn = holds_figure(view, bands, first, after)
    return told, [graph({"type": "strip", "part": 0}, drawn, told)]


def _shut_told(shut: Sequence[Shut]) -> str:
    served = sum(one.served for one in shut)
    away = len(shut) - served
    told = [
        *([count(served, "service of a mold", "services of molds")] if served else []),
        *([count(away, "time out of use", "times out of use")] if away else []),
    ]
    return f"; {' and '.join(told)}" if told else ""


def _crews(
    view: View, filters: Filters, first: date, after: date
) -> tuple[str, list[Component]]:
    worked = shifts(view, filters, first, after)
    if not worked:
        return _NOTHING
    people = len({one.person for one in worked})
    told = (
        f"In the {count(filters.weeks, 'week')} from {first.isoformat()}, {people} of "
        f"{count(len(view.plan.problem.people), 'person', 'people')} are on "
        f"{count(len({one.row.id for one in worked}), 'operation')}."
    )
    if filters.has_table(CHART):
        return told, [plan_tables.shifts(worked)]
    drawn = crews_figure(view, worked, first, after)
    return told, [graph({"type": "strip", "part": 0}, drawn, told)]


def _book(
    view: View, filters: Filters, first: date, after: date
) -> tuple[str, list[Component]]:
    data = book_hours(view, filters)
    if not data.boats:
        return _NOTHING
    late = sum(boat.late for boat in data.boats)
    last = max((boat.finish for boat in data.boats), default=view.now)
    told = (
        f"{view.counted(boat.order for boat in data.boats)} with "
        f"{data.hours.sum():,.0f} labor hours still to do until {last:%Y-%m-%d}; "
        f"{late} of them will be late."
    )
    if filters.has_table(CHART):
        return told, [plan_tables.book(data)]
    return told, [graph({"type": "strip", "part": 0}, book_figure(view, data), told)]
