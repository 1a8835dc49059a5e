"""The one way to put a chart on a page; plotly is typed here and nowhere else."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any

import numpy as np
import plotly.graph_objects as go
from dash import dcc

from dashboard.markup import aria
from dashboard.palette import HAIR, INK, INK_SOFT, LINE, NOW, PAPER, SERIF

Figure = Any
Trace = Any
LABEL_PIXELS = 172  # the same in every drawing, so that weeks stand below each other
NARROW_PIXELS = 730  # width of a drawing on a small screen
LETTER_PIXELS = 6.2
MODE_BAR = ["zoom2d", "pan2d", "zoomIn2d", "zoomOut2d", "resetScale2d"]


def config() -> Any:
    """Settings of every chart: nothing leaves the computer, few buttons."""
    return {
        "showSendToCloud": False,
        "plotlyServerURL": "",
        "displaylogo": False,
        "modeBarButtons": [MODE_BAR],
        "displayModeBar": "hover",
        "responsive": True,
        "scrollZoom": False,
        "doubleClick": "reset",
        "showTips": False,
    }


def graph(id: Any, figure: Figure, label: str) -> Any:
    """A chart with its settings; `label` is read aloud in its stead."""
    height = figure.layout.height
    drawing = dcc.Graph(
        id=id,
        figure=figure,
        config=config(),
        className="drawing",
        style={"height": f"{height}px"} if height else {},
    )
    return labeled(drawing, label)


def labeled(drawing: Any, label: str) -> Any:
    """Wrap a drawing so that a screen reader says what it is."""
    from dash import html

    return html.Div(drawing, role="group", className="plate", **aria(label=label))


def figure(traces: list[Trace], height: int, **layout: Any) -> Figure:
    """A figure on the sheet's paper."""
    base: dict[str, Any] = {
        "height": height,
        "paper_bgcolor": "rgba(0,0,0,0)",
        "plot_bgcolor": "rgba(0,0,0,0)",
        "font": {"family": SERIF, "size": 12, "color": INK},
        "showlegend": False,
        "barmode": "overlay",
        "bargap": 0,
        "margin": {"l": LABEL_PIXELS, "r": 12, "t": 44, "b": 10},
        "hoverlabel": {
            "bgcolor": PAPER,
            "bordercolor": INK,
            "font": {"family": SERIF, "size": 13, "color": INK},
            "align": "left",
        },
        "hovermode": "closest",
        "dragmode": "pan",
        "modebar": {"bgcolor": "rgba(0,0,0,0)", "color": INK_SOFT, "activecolor": INK},
    }
    return go.Figure(data=traces, layout={**base, **layout})


def time_axis(first: date, after: date) -> dict[str, Any]:
    """Axis of days: Mondays named with their ISO week."""
    weeks = max(1, (after - first).days // 7)
    step = 1 if weeks <= 14 else 2 if weeks <= 28 else 4
    mondays = [first + timedelta(days=7 * k) for k in range(0, weeks + 1, step)]
    return {
        "type": "date",
        "side": "top",
        "range": [first.isoformat(), after.isoformat()],
        "tickvals": [day.isoformat() for day in mondays],
        "ticktext": [f"{day:%b} {day.day}<br>W{day:%V}" for day in mondays],
        "tickfont": {"size": 11, "color": INK},
        "ticks": "outside",
        "ticklen": 6,
        "tickcolor": INK,
        "gridcolor": LINE,
        "griddash": "dot",
        "showline": True,
        "linecolor": INK,
        "minor": {"dtick": 86400000, "tick0": first.isoformat(), "gridcolor": HAIR}
        if weeks <= 4
        else {},
        "fixedrange": False,
        "zeroline": False,
    }


def row_axis(
    centers: list[float], labels: list[str], top: float, bottom: float
) -> dict[str, Any]:
    """Axis of rows, the first at the top, with a numeric place for each label."""
    return {
        "tickvals": centers,
        "ticktext": labels,
        "range": [bottom, top],
        "tickfont": {"size": 11.5, "color": INK},
        "showgrid": False,
        "zeroline": False,
        "fixedrange": True,
        "ticks": "outside",  # unseen: they keep the labels off the drawing
        "ticklen": 8,
        "tickcolor": "rgba(0,0,0,0)",
    }


def bars(
    begins: list[datetime], ends: list[datetime], at: list[float], width: float
) -> dict[str, Any]:
    """Where horizontal bars lie: from, length in milliseconds, height and thickness."""
    since = np.array(begins, dtype="datetime64[ms]")
    until = np.array(ends, dtype="datetime64[ms]")
    return {
        "orientation": "h",
        "base": [one.isoformat(timespec="minutes") for one in begins],
        "x": (until - since).astype(np.int64).astype(np.float64),
        "y": np.array(at, dtype=np.float32),
        "width": width,
    }


def fitting(text: str, length: timedelta, window: timedelta) -> str:
    """Lettering for a bar, or none where it would be wider than the bar."""
    pixels = NARROW_PIXELS * (length / window)
    return text if len(text) * LETTER_PIXELS + 4 <= pixels else ""


def bar(**given: Any) -> Trace:
    """A trace of bars."""
    return go.Bar(**given)


def scatter(**given: Any) -> Trace:
    """A trace of lines, markers or lettering."""
    return go.Scatter(**given)


def heatmap(**given: Any) -> Trace:
    """A trace of shaded cells."""
    return go.Heatmap(**given)


def shade(begins: datetime, ends: datetime) -> dict[str, Any]:
    """A band of time in which the yard is closed."""
    return {
        "type": "rect", "xref": "x", "yref": "paper", "y0": 0, "y1": 1,
        "x0": begins.isoformat(timespec="minutes"),
        "x1": ends.isoformat(timespec="minutes"),
        "fillcolor": HAIR, "opacity": 0.45, "line": {"width": 0}, "layer": "below",
    }  # fmt: skip


def now_line(now: datetime) -> dict[str, Any]:
    """The line at which planning begins."""
    at = now.isoformat(timespec="minutes")
    return {
        "type": "line", "xref": "x", "yref": "paper", "x0": at, "x1": at,
        "y0": 0, "y1": 1, "line": {"color": NOW, "width": 1.4, "dash": "dashdot"},
        "layer": "above",
    }  # fmt: skip
