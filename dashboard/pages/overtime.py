"""Sheet 2: windows of overtime that the plan opens, with price and caution."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from dash import html

from dashboard.pages.controls import summary
from dashboard.pages.tables import small_table
from dashboard.wording import hours
from models.cautions import OVERTIME
from scheduler.overtime_report import most_overtime, window_uses

if TYPE_CHECKING:
    from dashboard.pages.tables import Cell
    from dashboard.view import View

Component = Any


def overtime_part(view: View) -> list[Component]:
    """What is opened of what is on offer; nothing where nothing is."""
    offered = len(view.plan.problem.overtime)
    if not offered:
        return []
    uses = window_uses(view.plan)
    if not uses:
        told = f"No window of overtime is opened; on offer: {offered}."
        return [html.Section([html.H2("Overtime"), summary(told)], className="figure")]
    total, price = sum(one.hours for one in uses), sum(one.price for one in uses)
    told = (
        f"Windows of overtime opened: {len(uses)} of {offered} on offer, "
        f"{hours(total)} labor hours for {price:,.0f}."
    )
    most = most_overtime(view.plan)
    if most is not None:
        day, week = most
        told += (
            f" Nobody works more than {day.hours:g} hours of it on a day and "
            f"{week.hours:g} in a week; the limits are {day.limit:g} and "
            f"{week.limit:g}."
        )
    rows: list[list[Cell]] = [
        [
            f"{view.local(one.window.window[0]):%Y-%m-%d %H:%M}",
            f"{view.local(one.window.window[1]):%H:%M}",
            one.window.calendar,
            str(len(one.people)),
            hours(one.hours),
            f"{one.price:,.0f}",
        ]
        for one in uses
    ]
    heading = ("From", "To", "Calendar", "People", "Labor hours", "Price")
    table = small_table("Opened windows of overtime", heading, rows)
    caution = html.P(OVERTIME, className="small")
    part = [html.H2("Overtime"), summary(told), table, caution]
    return [html.Section(part, className="figure")]
