"""The whole book at once: labor hours on each boat in each week."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

import numpy as np

from dashboard.figures.lanes import chosen_boats
from dashboard.graph import Figure, figure, heatmap, scatter
from dashboard.palette import ALARM, INK, NOW
from dashboard.view import monday

if TYPE_CHECKING:
    from dashboard.filters import Filters
    from dashboard.view import Boat, View

# Paper to dark ink: lightness falls all the way, so grey paper keeps the order.
SHADES = [[0.0, "#f7f2e6"], [0.02, "#e3dcc6"], [0.35, "#a9b3ac"], [1.0, "#1d3a4c"]]
MOST_TALL = 30


@dataclass(frozen=True)
class BookHours:
    """Labor hours by boat and week, boats by due date."""

    boats: tuple[Boat, ...]
    weeks: tuple[date, ...]
    hours: np.ndarray


def book_hours(view: View, filters: Filters) -> BookHours:
    """Sum labor hours of the work still to do by boat and ISO week."""
    boats = tuple(chosen_boats(view, filters))
    count = (view.last_week - view.first_week).days // 7 + 1
    weeks = tuple(view.first_week + timedelta(days=7 * k) for k in range(count))
    at = {boat.order: index for index, boat in enumerate(boats)}
    hours = np.zeros((len(boats), count))
    axis = view.plan.problem.axis
    week_at = [axis.day_start(week) for week in (*weeks, weeks[-1] + timedelta(days=7))]
    starts = np.array(week_at)
    for planned in view.plan.answer.operations:
        row = view.by_id[planned.operation]
        if row.order not in at:
            continue
        for start, finish in planned.segments:
            inside = np.minimum(finish, starts[1:]) - np.maximum(start, starts[:-1])
            worked = np.maximum(inside, 0) * planned.crew * axis.tick_minutes / 60
            hours[at[row.order]] += worked
    return BookHours(boats, weeks, hours)


def book_figure(view: View, data: BookHours) -> Figure:
    """Draw boats against weeks, with the promise and the finish of each."""
    places = {week: index for index, week in enumerate(data.weeks)}
    rows = range(len(data.boats))
    tall = 17 if len(data.boats) <= MOST_TALL else 10
    told = [
        [
            f"{boat.order} {boat.model}, week of {week.isoformat()}"
            for week in data.weeks
        ]
        for boat in data.boats
    ]
    cells = heatmap(
        z=data.hours.astype(np.float32),
        x=list(range(len(data.weeks))),
        y=list(rows),
        customdata=told,
        hovertemplate="%{customdata}<br>%{z:.0f} labor hours<extra></extra>",
        colorscale=SHADES, xgap=1, ygap=1, name="hours",
        colorbar={
            "title": {"text": "labor<br>hours<br>a week"}, "thickness": 10, "len": 0.6,
            "outlinewidth": 0.5,
        },
    )  # fmt: skip
    due = [
        (places[monday(boat.due)], index)
        for index, boat in enumerate(data.boats)
        if boat.due and monday(boat.due) in places
    ]
    finish = [places.get(monday(boat.finish.date()), 0) for boat in data.boats]
    promised = scatter(
        x=[one[0] for one in due], y=[one[1] for one in due], mode="markers",
        name="promised", hoverinfo="skip",
        marker={
            "symbol": "triangle-down-open", "size": 10, "color": ALARM,
            "line": {"width": 1.8},
        },
    )  # fmt: skip
    ends = scatter(
        x=finish, y=list(rows), mode="markers", name="finished", hoverinfo="skip",
        marker={
            "symbol": "circle", "size": 6, "color": "#ffffff",
            "line": {"color": INK, "width": 1.4},
        },
    )  # fmt: skip
    step = max(1, -(-len(data.weeks) // 12))
    shown = list(range(0, len(data.weeks), step))
    return figure(
        [cells, promised, ends],
        len(data.boats) * tall + 70,
        xaxis={
            "side": "top", "tickvals": shown, "range": [-0.5, len(data.weeks) - 0.5],
            "ticktext": [
                f"{data.weeks[k]:%b} {data.weeks[k].day}<br>W{data.weeks[k]:%V}"
                for k in shown
            ],
            "showgrid": False, "zeroline": False, "ticks": "outside", "linecolor": INK,
            "fixedrange": True, "tickangle": 0,
        },
        yaxis={
            "tickvals": list(rows), "range": [len(data.boats) - 0.4, -0.6],
            "ticktext": [f"<b>{one.order}</b> {one.model}" for one in data.boats],
            "tickfont": {"size": 11 if tall > 12 else 8.5, "color": INK},
            "showgrid": False, "zeroline": False, "fixedrange": True,
            "ticks": "outside", "ticklen": 8, "tickcolor": "rgba(0,0,0,0)",
        },
        shapes=[
            {"type": "line", "xref": "x", "yref": "paper", "x0": at, "x1": at, "y0": 0,
             "y1": 1, "line": {"color": NOW, "width": 1.2, "dash": "dashdot"}}
            for at in [_place(data.weeks, view.now.date())]
        ],
    )  # fmt: skip


def _place(weeks: tuple[date, ...], day: date) -> float:
    return (day - weeks[0]).days / 7 - 0.5
