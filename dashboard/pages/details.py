"""The details beside the plan: one operation, what it waited for, what it delays."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from dash import dcc, html

from dashboard.causes import cause_of
from dashboard.filters import link, window
from dashboard.pages.controls import select, text_field
from dashboard.view import monday
from dashboard.wording import count, days_late, due, manned, span, where
from models.cautions import caution_text

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from dashboard.filters import Filters
    from dashboard.view import Row, View

Component = Any
PATH = "/plan"
MOST_LISTED = 8


def details(view: View, filters: Filters) -> tuple[Component, dict[str, Any] | None]:
    """What is told about the chosen operation, and which bars to mark."""
    row = view.by_id.get(filters.op)
    order = row.order if row else filters.boat
    told: list[Component] = [_chooser(view, order, row)]
    if row is None:
        if filters.op:
            text = f"This plan has no operation {filters.op}."
            return [*told, html.P(text)], None
        text = "Choose an operation in the drawing or here."
        return [*told, html.P(text, className="invitation")], None
    before = view.causes.waited_for(row.id).before
    delays = view.causes.delays(row.id)
    told += [*_facts(view, filters, row), _waited(view, filters, row, before)]
    told += [_delays(view, filters, delays), _caution(view, row)]
    near = [*([before] if before else []), *delays]
    return told, {"op": row.id, "near": near}


def pointed_at(triggered: Sequence[Mapping[str, Any]]) -> dict[str, Any] | None:
    """The point under the pointer, from all that has changed at once.

    Drawings that came in the same moment are among it, with nothing to tell.
    """
    for one in triggered:
        value = one["value"]
        if isinstance(value, dict) and value.get("points"):
            return dict(value["points"][0])
    return None


def glance(view: View, operation: str) -> Component:
    """The same in short, for the operation under the pointer."""
    row = view.by_id.get(operation)
    if row is None:
        return None
    delays = len(view.causes.delays(row.id))
    delayed = (
        f"It delays {count(delays, 'operation')}." if delays else "It delays none."
    )
    return [
        html.Span("Under the pointer", className="label"),
        html.P([html.Strong(f"{row.order} {row.name}. "), cause_of(view)(row.id)]),
        html.P(delayed),
    ]


def offers(view: View) -> list[list[str]]:
    """Id and name of every operation, for the field below; thousands in a big book."""
    return [[row.id, f"{row.order} {row.name}"] for row in view.rows]


def finder() -> Component:
    """A field that offers operations while a code or name is typed.

    What is offered comes as plain data and is put in by `assets/board.js`: as
    components, thousands of options would hold up the drawing for a second.
    """
    return [
        text_field(
            "typed", "Find an operation", "", "code or name", list="operation-codes"
        ),
        html.Datalist(id="operation-codes"),
    ]


def _chooser(view: View, order: str, row: Row | None) -> Component:
    boats = [
        ("", "choose a boat"),
        *((b.order, f"{b.order} {b.model}") for b in view.boats),
    ]
    fields = [select("boat", "Boat", boats, order)]
    if order in view.boat:
        mine = [one for one in view.rows if one.order == order]
        named = [("", "choose an operation"), *((one.id, one.name) for one in mine)]
        fields.append(select("op", "Operation", named, row.id if row else ""))
    return html.Div(fields, className="chooser")


def _facts(view: View, filters: Filters, row: Row) -> list[Component]:
    boat = view.boat[row.order]
    facts = [
        ("Boat", f"{row.order} {row.model}, {due(boat)}, {days_late(boat.days)}"),
        ("When", span(row.begins, row.ends)),
        ("Station", row.station),
        ("Crew", manned(row)),
        ("In", where(row)),
        ("State", row.state),
    ]
    pairs = [html.Div([html.Dt(name), html.Dd(told)]) for name, told in facts]
    return [
        html.Div(
            [
                html.H2(row.name),
                dcc.Link(
                    "close",
                    href=link(PATH, filters, op="", boat=""),
                    id="close-details",
                ),
            ],
            className="named",
        ),
        html.Dl(pairs),
        _out_of_sight(view, filters, row),
    ]


def _out_of_sight(view: View, filters: Filters, row: Row) -> Component:
    first, after = window(filters, view.now.date())
    if row.begins.date() < after and row.ends.date() >= first:
        return None
    week = monday(row.begins.date())
    return html.P(
        dcc.Link(
            f"Show the week of {week.isoformat()}",
            href=link(PATH, filters, start=week),
            id="show-week",
        )
    )


def _waited(view: View, filters: Filters, row: Row, before: str | None) -> Component:
    told: list[Component] = [html.P(cause_of(view)(row.id))]
    if before is not None and before in view.by_id:
        told.append(html.Ul([_to(view, filters, before)]))
    return html.Section([html.H3("What it waited for"), *told], id="waited-for")


def _delays(view: View, filters: Filters, delays: Sequence[str]) -> Component:
    told: Component = html.P("No other operation begins later because of it.")
    if delays:
        items = [_to(view, filters, one) for one in delays[:MOST_LISTED]]
        if len(delays) > MOST_LISTED:
            items.append(html.Li(f"and {len(delays) - MOST_LISTED} more"))
        told = html.Ul(items)
    return html.Section([html.H3("What it delays"), told], id="delays")


def _to(view: View, filters: Filters, operation: str) -> Component:
    row = view.by_id[operation]
    target = link(PATH, replace(filters, op=operation, boat=""))
    text = f"{row.order} {row.name}, {row.begins:%Y-%m-%d %H:%M}"
    return html.Li(dcc.Link(text, href=target))


def _caution(view: View, row: Row) -> Component:
    model = next(
        (one.model for one in view.plan.problem.orders if one.order == row.order), ""
    )
    text = caution_text(view.names.caution(model, row.code))
    return html.P(text, className="caution", role="note") if text else None
