"""Pace: load against capacity, use of molds and places, what late boats wait for."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from dashboard.graph import LABEL_PIXELS, Figure, bar, figure, heatmap, scatter
from dashboard.palette import ALARM, HAIR, INK, INK_SOFT, LINE, PAPER_DEEP, wash
from dashboard.wording import hours, percent

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from dashboard.view import View
    from models.names import Names
    from scheduler.load import LateWait, ResourceUse, StationWeek

ROW_PIXELS = 21
# Up to full: paper to blue-grey; over full: oxide, with a step that grey paper shows.
SHADES = [
    [0.0, "#f7f2e6"], [0.01, "#ece6d3"], [0.666, "#7d97a3"], [0.6667, "#8c3b2a"],
    [1.0, "#4a140c"],
]  # fmt: skip
MOST_SHARE = 1.5
MOST_NAMED_WEEKS = 10  # whose names stand side by side on a small screen, too


def share(one: StationWeek) -> float:
    """Planned hours as a share of what its people could give."""
    if one.capacity_hours:
        return one.hours / one.capacity_hours
    return MOST_SHARE if one.hours else 0.0


def load_figure(view: View, load: Sequence[StationWeek], group: int) -> Figure:
    """Draw one station: hours planned in each week against what could be given."""
    weeks = [one.week for one in load]
    fill = wash(group)
    # Edges half a week out, so that the line of capacity spans each bar.
    edges = [at for k in range(len(load)) for at in (k - 0.5, k + 0.5)]
    given = [one.capacity_hours for one in load for _ in range(2)]
    planned = bar(
        x=list(range(len(load))),
        y=np.array([one.hours for one in load], dtype=np.float32),
        width=0.72, name="planned",
        customdata=[
            f"Week of {one.week.isoformat()}<br>{hours(one.hours)} labor hours planned"
            f"<br>{hours(one.capacity_hours)} could be given"
            for one in load
        ],
        hovertemplate="%{customdata}<extra></extra>",
        marker={
            "color": fill,
            "line": {
                "color": [_edge(one) for one in load],
                "width": [_edge_width(one) for one in load],
            },
        },
    )  # fmt: skip
    capacity = scatter(
        x=edges, y=given, mode="lines", name="could be given", hoverinfo="skip",
        line={"color": INK, "width": 2, "dash": "dash"},
    )  # fmt: skip
    return figure(
        [planned, capacity],
        300,
        xaxis=_weeks_axis(weeks),
        yaxis={
            "title": {"text": "labor hours a week", "font": {"size": 12}},
            "rangemode": "tozero", "gridcolor": HAIR, "zerolinecolor": INK,
            "fixedrange": True,
        },
        margin={"l": LABEL_PIXELS, "r": 12, "t": 12, "b": 44},
    )  # fmt: skip


def stations_figure(names: Names, load: Sequence[StationWeek]) -> Figure:
    """Draw all stations against weeks, shaded by the share of capacity that is used."""
    stations = list(dict.fromkeys(one.station for one in load))
    weeks = list(dict.fromkeys(one.week for one in load))
    shares = np.full((len(stations), len(weeks)), np.nan, dtype=np.float32)
    told = [["" for _ in weeks] for _ in stations]
    row_of = {name: row for row, name in enumerate(stations)}
    column_of = {week: column for column, week in enumerate(weeks)}
    for one in load:
        row, column = row_of[one.station], column_of[one.week]
        shares[row, column] = share(one)
        told[row][column] = (
            f"<b>{names.station(one.station)}</b>, week of {one.week.isoformat()}<br>"
            f"{hours(one.hours)} of {hours(one.capacity_hours)} labor hours, "
            f"{percent(share(one))}"
        )
    cells = heatmap(
        z=np.minimum(shares, MOST_SHARE), zmin=0, zmax=MOST_SHARE,
        x=list(range(len(weeks))), y=list(range(len(stations))),
        colorscale=SHADES, xgap=1, ygap=2, customdata=told, name="share",
        hovertemplate="%{customdata}<extra></extra>",
        colorbar={
            "tickvals": [0, 0.5, 1, 1.5], "ticktext": ["0 %", "50 %", "100 %", "150 %"],
            "thickness": 10, "outlinewidth": 0.5,
        },
    )  # fmt: skip
    return figure(
        [cells],
        len(stations) * ROW_PIXELS + 62,
        xaxis=_weeks_axis(weeks, top=True),
        yaxis=_names_axis([names.station(one) for one in stations]),
    )


def use_figure(uses: Sequence[ResourceUse]) -> Figure:
    """Draw each mold and place: how much of its open time is taken."""
    taken = bar(
        orientation="h",
        x=np.array([100 * one.share for one in uses], dtype=np.float32),
        y=list(range(len(uses))), width=0.66, name="taken",
        text=[
            f"{percent(one.share)}, {one.occupied_days:,.0f} of "
            f"{one.open_days:,.0f} days"
            for one in uses
        ],
        textposition="outside", cliponaxis=False,
        textfont={"size": 11, "color": INK},
        hoverinfo="skip",
        marker={
            "color": [wash(0) if one.kind == "mold" else PAPER_DEEP for one in uses],
            "line": {"color": INK, "width": 0.8},
        },
    )  # fmt: skip
    return figure(
        [taken],
        len(uses) * ROW_PIXELS + 50,
        xaxis={
            "range": [0, 118], "tickvals": [0, 25, 50, 75, 100],
            "ticktext": ["0", "25 %", "50 %", "75 %", "100 %"],
            "side": "top", "gridcolor": LINE, "griddash": "dot", "zeroline": False,
            "fixedrange": True, "linecolor": INK, "showline": True,
        },
        yaxis=_names_axis([_called(one) for one in uses]),
    )  # fmt: skip


def waits_figure(waits: Sequence[LateWait], called: Sequence[str]) -> Figure:
    """Draw what late boats wait for, longest first."""
    days = bar(
        orientation="h",
        x=np.array([one.days for one in waits], dtype=np.float32),
        y=list(range(len(waits))), width=0.66, name="waiting",
        text=[
            f"{one.days:,.1f} days, {one.days * 24:,.0f} hours, "
            f"{len(one.orders)} {'boat' if len(one.orders) == 1 else 'boats'}"
            for one in waits
        ],
        textposition="outside", cliponaxis=False, textfont={"size": 11, "color": INK},
        customdata=[", ".join(one.orders) for one in waits],
        hovertemplate="%{customdata}<extra></extra>",
        marker={"color": ALARM, "line": {"color": INK, "width": 0.8}},
    )  # fmt: skip
    longest = max((one.days for one in waits), default=1.0)
    return figure(
        [days],
        len(waits) * 26 + 50,
        xaxis={
            "range": [0, longest * 1.35], "side": "top", "gridcolor": LINE,
            "griddash": "dot", "zeroline": False, "fixedrange": True, "linecolor": INK,
            "showline": True, "title": {"text": ""}, "ticksuffix": " d",
        },
        yaxis=_names_axis(list(called)),
        margin={"l": LABEL_PIXELS + 70, "r": 12, "t": 40, "b": 10},
    )  # fmt: skip


def _edge(one: StationWeek) -> str:
    return ALARM if one.hours > one.capacity_hours else INK


def _edge_width(one: StationWeek) -> float:
    return 2.6 if one.hours > one.capacity_hours else 0.8


def _called(one: ResourceUse) -> str:
    plain_kind = one.kind in one.resource.casefold()
    return f"<b>{one.resource}</b>{'' if plain_kind else ' ' + one.kind}"


def _names_axis(names: list[str]) -> dict[str, object]:
    return {
        "tickvals": list(range(len(names))), "ticktext": names, "showgrid": False,
        "range": [len(names) - 0.5, -0.5], "zeroline": False, "fixedrange": True,
        "ticks": "outside", "ticklen": 8, "tickcolor": "rgba(0,0,0,0)",
        "tickfont": {"size": 11.5, "color": INK},
    }  # fmt: skip


def _weeks_axis(weeks: Sequence[date], top: bool = False) -> dict[str, object]:
    step = -(-len(weeks) // MOST_NAMED_WEEKS)
    shown = list(range(0, len(weeks), step))
    return {
        "side": "top" if top else "bottom", "tickvals": shown, "tickangle": 0,
        "ticktext": [
            f"{weeks[k]:%b} {weeks[k].day}<br>W{weeks[k]:%V}" for k in shown
        ],
        "range": [-0.5, len(weeks) - 0.5], "showgrid": False, "zeroline": False,
        "ticks": "outside", "tickcolor": INK_SOFT, "fixedrange": True,
        "linecolor": INK, "showline": True,
    }  # fmt: skip
