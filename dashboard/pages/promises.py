"""Sheet 3: every order's dates against the plan, and what it waits for."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from dash import html

from dashboard.causes import held_back
from dashboard.figures.lanes import chosen_boats
from dashboard.filters import Filters, link
from dashboard.pages.controls import choice, choices, nothing, summary, text_field
from dashboard.pages.tables import Cell, column, figures, grid
from dashboard.wording import count, days_late

if TYPE_CHECKING:
    from dashboard.view import Boat, View

Component = Any
PATH = "/promises"


def promises_page(view: View, filters: Filters) -> Component:
    """The sheet for some filters."""
    return html.Section(
        [
            html.H1("Promises"),
            summary(_told(view, filters)),
            _controls(filters),
            _table(_rows(view, filters)),
        ],
        className="promises-sheet",
    )


def _table(rows: list[dict[str, Cell]]) -> Component:
    if not rows:
        return nothing(
            "No order fits these choices. Show all boats, or clear the search."
        )
    # Before the table: on paper a note after it could stand alone on a last page.
    note = html.P(
        "Days are working days of the delivery calendar: early above 0, late below. A "
        "proposed date is the planned finish and the yard's buffer; until it is "
        "accepted, the order is measured against the wanted date.",
        className="small",
    )
    return html.Div([note, grid("promises-table", "Promises", _columns(), rows)])


def _told(view: View, filters: Filters) -> str:
    boats = chosen_boats(view, filters)
    if not boats:
        return "No orders."
    late = [boat for boat in boats if boat.late]
    told = f"{count(len(boats), 'order')}: {len(late)} will be late"
    days = sum(boat.days or 0 for boat in late)
    if late:
        worst = max(late, key=lambda boat: (boat.days or 0, boat.order))
        told += (
            f", by {count(days, 'working day')} in all; the latest is {worst.order}, "
            f"{count(worst.days or 0, 'working day')} after its date"
        )
    return f"{told}."


def _controls(filters: Filters) -> Component:
    every = filters.show == "all"
    return html.Div(
        [
            choices(
                "Boats",
                [
                    choice("show-all", "all", link(PATH, filters, show="all"), every),
                    choice(
                        "show-late", "late only", link(PATH, filters, show="late"),
                        not every,
                    ),
                ],
            ),
            text_field("find", "Order, model or customer", filters.find, "such as 308"),
            html.Div(
                [
                    html.Span("Take along", className="label"),
                    html.Ul(
                        [
                            html.Li(html.A(text, href=f"/export/{name}.csv", id=name))
                            for name, text in (
                                ("promises", "promises.csv"),
                                ("operations", "operations.csv"),
                                ("people", "people.csv"),
                            )
                        ]
                    ),
                ],
                className="choices",
            ),
        ],
        className="controls",
    )  # fmt: skip


def _columns() -> list[dict[str, Any]]:
    return [
        column("order", "Order", 90, pinned="left"),
        figures("days_early", "Days early (+), late (−)", 130, sort="asc"),
        column("standing", "Standing", 155),
        column("promised", "Promised", 105),
        column("finish", "Planned finish", 135),
        column("wanted", "Wanted", 105),
        column("proposed", "Proposed", 105),
        column("customer", "Customer", 100),
        column("model", "Model", 115),
        column("longest", "Waits longest for", minWidth=275, flex=1,
               tooltipField="cause"),
    ]  # fmt: skip


def _rows(view: View, filters: Filters) -> list[dict[str, Cell]]:
    wanted = {boat.order for boat in chosen_boats(view, filters)}
    longest = {order: parts[0] for order, parts in held_back(view).items()}
    return [
        row | {"longest": longest[str(row["order"])]}
        for row in promise_rows(view)
        if row["order"] in wanted
    ]


def promise_rows(view: View) -> list[dict[str, Cell]]:
    """One row for each order, the same on paper and in the export."""
    cause = held_back(view)
    return [_row(boat, ", ".join(cause[boat.order])) for boat in view.boats]


def _row(boat: Boat, cause: str) -> dict[str, Cell]:
    return {
        "order": boat.order,
        "customer": boat.customer,
        "model": boat.model,
        "promised": boat.promised.isoformat() if boat.promised else "",
        "wanted": boat.wanted.isoformat() if boat.wanted else "",
        "finish": f"{boat.finish:%Y-%m-%d %H:%M}",
        "proposed": boat.proposed.isoformat() if boat.proposed else "",
        "days_early": None if boat.days is None else -boat.days,
        "standing": days_late(boat.days),
        "cause": cause,
    }
