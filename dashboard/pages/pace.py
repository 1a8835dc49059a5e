"""Sheet 2: load against capacity, utilization, and what late boats wait for."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from dash import html

from dashboard.causes import spoken
from dashboard.figures.pace import (
    load_figure,
    share,
    stations_figure,
    use_figure,
    waits_figure,
)
from dashboard.filters import Filters
from dashboard.graph import graph
from dashboard.pages.controls import select, summary, twins
from dashboard.pages.overtime import overtime_part
from dashboard.pages.tables import Cell, small_table
from dashboard.wording import count, hours, percent
from scheduler.load import late_waits, resource_use, station_week_load

if TYPE_CHECKING:
    from collections.abc import Sequence

    from dashboard.view import View
    from scheduler.load import LateWait, ResourceUse, StationWeek

Component = Any
PATH = "/pace"
MOST_WAITS = 12


def pace_page(view: View, filters: Filters) -> Component:
    """The sheet for some filters."""
    load = station_week_load(view.plan)
    if not load:
        return html.P("This plan has no work in it.", className="empty", role="status")
    stations = list(dict.fromkeys(one.station for one in load))
    station = filters.station if filters.station in stations else busiest(load)
    return html.Section(
        [
            html.H1("Pace"),
            _station(view, filters, [one for one in load if one.station == station]),
            _stations(view, filters, load),
            _uses(filters, resource_use(view.plan)),
            _waits(view, filters, late_waits(view.plan, view.causes)[:MOST_WAITS]),
            *overtime_part(view),
        ],
        className="pace-sheet",
    )


def busiest(load: Sequence[StationWeek]) -> str:
    """The station with the largest share of its people's hours in the busiest month."""
    best, most = load[0].station, -1.0
    for station in dict.fromkeys(one.station for one in load):
        mine = [one for one in load if one.station == station]
        for k in range(max(1, len(mine) - 3)):
            month = mine[k : k + 4]
            given = sum(one.capacity_hours for one in month)
            used = sum(one.hours for one in month) / given if given else 0.0
            if used > most:
                best, most = station, used
    return best


def _part(title: str, told: str, shown: Sequence[Component]) -> Component:
    return html.Section(
        [html.H2(title), summary(told), *shown], className="figure"
    )  # fmt: skip


def _station(view: View, filters: Filters, mine: Sequence[StationWeek]) -> Component:
    name = view.names.station(mine[0].station)
    planned = sum(one.hours for one in mine)
    given = sum(one.capacity_hours for one in mine)
    top = max(mine, key=share)
    over = sum(one.hours > one.capacity_hours for one in mine)
    told = (
        f"{name}: {hours(planned)} labor hours planned against {hours(given)} that its "
        f"people could give in {count(len(mine), 'week')}; fullest is the week of "
        f"{top.week.isoformat()} with {percent(share(top))}, and {over} "
        f"{'week is' if over == 1 else 'weeks are'} over."
    )
    group = view.names.groups.get(mine[0].station, "")
    place = view.groups.index(group) if group in view.groups else 0
    stations = list(dict.fromkeys(one.id for one in view.plan.problem.stations))
    used = {one.station for one in view.plan.problem.operations if one.skill}
    options = [(one, view.names.station(one)) for one in stations if one in used]
    controls = html.Div(
        [
            select("station", "Station", options, mine[0].station),
            twins(PATH, filters, "load"),
        ],
        className="controls",
    )
    if filters.has_table("load"):
        rows: list[list[Cell]] = [
            [one.week.isoformat(), hours(one.hours), hours(one.capacity_hours),
             percent(share(one))]
            for one in mine
        ]  # fmt: skip
        heading = ("Week from", "Planned, labor hours", "Could be given", "Share")
        drawn = small_table(f"Load of {name}", heading, rows)
    else:
        drawn = graph("load-chart", load_figure(view, mine, place), told)
    note = html.P(
        "Dashed line: hours that everyone with a skill of this station could give, "
        "leave and holidays taken out. People who can work at several stations count "
        "at each of them in full.",
        className="small",
    )
    return _part("Load against capacity", told, [controls, drawn, note])


def _stations(view: View, filters: Filters, load: Sequence[StationWeek]) -> Component:
    full = [one for one in load if share(one) >= 0.9]
    names = list(dict.fromkeys(view.names.station(one.station) for one in full))
    told = (
        f"{count(len(full), 'week')} of a station {'is' if len(full) == 1 else 'are'} "
        f"at 90 % or more of what its people could give"
        + (f": {', '.join(names)}." if names else ".")
    )
    if filters.has_table("stations"):
        weeks = list(dict.fromkeys(one.week for one in load))
        shares = {(one.station, one.week): percent(share(one)) for one in load}
        stations = list(dict.fromkeys(one.station for one in load))
        heading = ["Week from", *(view.names.station(one) for one in stations)]
        rows: list[list[Cell]] = [
            [week.isoformat(), *(shares[one, week] for one in stations)]
            for week in weeks
        ]
        drawn = small_table("Share of capacity by station and week", heading, rows)
    else:
        drawn = graph("stations-chart", stations_figure(view.names, load), told)
    return _part("All stations", told, [twins(PATH, filters, "stations"), drawn])


def _uses(filters: Filters, uses: Sequence[ResourceUse]) -> Component:
    told = "This yard has no molds or places."
    if uses:
        top = max(uses, key=lambda one: one.share)
        free = min(uses, key=lambda one: one.share)
        told = (
            f"From now to the last finish, {top.resource} is taken most, "
            f"{percent(top.share)} of its time, and {free.resource} least, "
            f"{percent(free.share)}."
        )
    if filters.has_table("use"):
        rows: list[list[Cell]] = [
            [one.resource, one.kind, f"{one.occupied_days:,.1f}",
             f"{one.open_days:,.1f}", percent(one.share)]
            for one in uses
        ]  # fmt: skip
        heading = ("Mold or place", "Kind", "Taken, days", "Open, days", "Share")
        drawn = small_table("Utilization of molds and places", heading, rows)
    else:
        drawn = graph("use-chart", use_figure(uses), told)
    return _part("Molds and places", told, [twins(PATH, filters, "use"), drawn])


def _waits(view: View, filters: Filters, waits: Sequence[LateWait]) -> Component:
    title = "What late boats wait for"
    if not waits:
        told = "No boat that will be late waits a day or more for anything but itself."
        return _part(title, told, [])
    called = [spoken(view, one.resource) for one in waits]
    told = (
        f"Late boats wait longest for {called[0]}: {waits[0].days:,.1f} days or "
        f"{waits[0].days * 24:,.0f} hours of the clock, nights and weekends included."
    )
    if filters.has_table("waits"):
        rows: list[list[Cell]] = [
            [name, f"{one.days:,.1f}", f"{one.days * 24:,.0f}", ", ".join(one.orders)]
            for name, one in zip(called, waits)
        ]
        heading = ("Waited for", "Days", "Hours of the clock", "Boats")
        drawn = small_table(title, heading, rows)
    else:
        drawn = graph("waits-chart", waits_figure(waits, called), told)
    return _part(title, told, [twins(PATH, filters, "waits"), drawn])
