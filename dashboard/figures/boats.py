"""Boats against time: what is done on each boat, where its parts are, what cures."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from typing import TYPE_CHECKING, Any

from dashboard.figures.lanes import LANE_PIXELS, BoatBand
from dashboard.graph import (
    NARROW_PIXELS,
    Figure,
    Trace,
    bar,
    bars,
    figure,
    fitting,
    now_line,
    row_axis,
    scatter,
    shade,
    time_axis,
)
from dashboard.palette import (
    ALARM,
    INK,
    INK_SOFT,
    LINE,
    PICKED,
    on_wash,
    short_codes,
    wash,
)
from dashboard.wording import count, due, manned, span, where

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from dashboard.view import Row, View

MOST_LETTERED = 1500  # bars in a chart that may carry lettering: it is slow to draw


def boats_figure(
    view: View,
    bands: Sequence[BoatBand],
    first: date,
    after: date,
) -> Figure:
    """Draw one strip of boats."""
    top, bottom = bands[0].top - 0.2, bands[-1].bottom + 0.4
    traces = [
        picked_trace(),
        *_work(view, bands, after - first),
        _cures(bands),
        *_holds(bands, first, after),
        *_promises(bands, first, after),
    ]
    height = int((bottom - top) * LANE_PIXELS) + 62
    centers = [(band.top + band.bottom) / 2 for band in bands]
    return figure(
        traces,
        height,
        xaxis=time_axis(first, after),
        yaxis=row_axis(centers, [_label(band) for band in bands], top, bottom),
        shapes=[
            *(shade(*closed) for closed in view.closed(first, after)),
            now_line(view.now),
            *(_rule(band) for band in bands[1:]),
        ],
    )


def picked_trace() -> Trace:
    """An empty trace under the others: the browser marks chosen operations with it."""
    return bar(
        orientation="h", base=[], x=[], y=[], width=1.4, hoverinfo="skip",
        name="picked", marker={"color": PICKED, "line": {"width": 0}},
    )  # fmt: skip


def work_traces(
    view: View,
    placed: Sequence[tuple[Row, float]],
    text: Callable[[Row], str],
    hover: Callable[[Row], str],
) -> list[Trace]:
    """One trace for each station group; what is done is drawn pale."""
    lettered = len(placed) <= MOST_LETTERED
    traces = []
    for group, name in enumerate(view.groups):
        mine = [(row, y) for row, y in placed if row.group == group]
        if not mine:
            continue
        rows = [row for row, _ in mine]
        traces.append(
            bar(
                **bars(
                    [row.begins for row in rows],
                    [row.ends for row in rows],
                    [y for _, y in mine],
                    0.78,
                ),
                name=name,
                customdata=[[row.id, hover(row)] for row in rows],
                hovertemplate="%{customdata[1]}<extra></extra>",
                text=[text(row) for row in rows] if lettered else None,
                textposition="inside",
                insidetextanchor="middle",
                insidetextfont={"size": 9.5, "color": on_wash(group)},
                constraintext="none",
                textangle=0,
                marker={
                    "color": wash(group),
                    "opacity": [0.45 if row.state == "done" else 1.0 for row in rows],
                    "line": {"color": INK, "width": 0.7 if lettered else 0.3},
                },
            )
        )
    return traces


def _work(
    view: View,
    bands: Sequence[BoatBand],
    window: timedelta,
) -> list[Trace]:
    codes = short_codes(view.groups)
    placed = [pair for band in bands for pair in band.rows]

    def hover(row: Row) -> str:
        return (
            f"<b>{row.name}</b><br>{row.order} {row.model}<br>{row.station}: "
            f"{manned(row)}<br>{span(row.begins, row.ends)}<br>"
            f"In: {where(row)}"
        )

    def text(row: Row) -> str:
        return fitting(codes[row.group], row.ends - row.begins, window)

    return work_traces(view, placed, text, hover)


def _cures(bands: Sequence[BoatBand]) -> Trace:
    placed = [pair for band in bands for pair in band.cures]
    cures = [one for one, _ in placed]
    return bar(
        **bars(
            [one.begins for one in cures],
            [one.ends for one in cures],
            [y for _, y in placed],
            0.36,
        ),
        name="cure",
        customdata=[[one.before, span(one.begins, one.ends)] for one in cures],
        hovertemplate="<b>Cure</b>, nobody works on it<br>%{customdata[1]}"
        "<extra></extra>",
        marker={
            "color": "rgba(0,0,0,0)",
            "pattern": {
                "shape": "/", "size": 4, "solidity": 0.35, "fgcolor": INK,
                "bgcolor": "rgba(255,255,255,0.55)",
            },
            "line": {"color": INK_SOFT, "width": 0.6},
        },
    )  # fmt: skip


def _holds(bands: Sequence[BoatBand], first: date, after: date) -> list[Trace]:
    """Molds and places as dimension lines, with their names in the middle."""
    low, high = _edges(first, after)
    x: list[str | None] = []
    y: list[float | None] = []
    middle, lettering, at, told, symbols = [], [], [], [], []
    zero = timedelta(0)
    for band in bands:
        for one, height in band.held:
            begins, ends = max(one.begins, low), min(one.ends, high)
            center = begins + (ends - begins) / 2
            name = fitting(one.resource, ends - begins, high - low)
            gap = (high - low) * (len(name) * 3.4 + 4) / NARROW_PIXELS if name else zero
            gap = min(gap, (ends - begins) / 2)
            x += [_iso(begins), _iso(center - gap), None, _iso(center + gap)]
            x += [_iso(ends), None]
            y += [height, height, None, height, height, None]
            symbols += ["line-ns", "circle", "circle", "circle", "line-ns", "circle"]
            middle.append(_iso(center))
            at.append(height)
            lettering.append(name)
            kind = "Mold" if one.is_mold else "Place"
            told.append(
                f"<b>{kind} {one.resource}</b><br>{one.order}, {one.part}<br>"
                f"{span(one.begins, one.ends)}"
            )
    lines = scatter(
        x=x, y=y, mode="lines+markers", name="molds and places", hoverinfo="skip",
        line={"color": INK_SOFT, "width": 1},
        marker={
            "symbol": symbols,
            "size": [7 if one == "line-ns" else 0 for one in symbols],
            "line": {"color": INK, "width": 1},
        },
    )  # fmt: skip
    names = scatter(
        x=middle, y=at, mode="text", text=lettering, name="names",
        textfont={"size": 9.5, "color": INK}, textposition="middle center",
        customdata=told, hovertemplate="%{customdata}<extra></extra>",
    )  # fmt: skip
    return [lines, names]


def _promises(bands: Sequence[BoatBand], first: date, after: date) -> list[Trace]:
    """A marker at each promised date, and a line from it to a late finish."""
    low, high = _edges(first, after)
    x: list[str | None] = []
    y: list[float | None] = []
    marks: dict[str, list[Any]] = {"x": [], "y": [], "symbol": [], "told": []}
    for band in bands:
        boat = band.boat
        if boat.due is None:
            continue
        end = datetime.combine(boat.due + timedelta(days=1), time())
        if boat.late and end < high and boat.finish > low:
            x += [_iso(max(end, low)), _iso(min(boat.finish, high)), None]
            y += [band.top, band.top, None]
        if low <= end <= high:
            marks["x"].append(_iso(end))
            marks["y"].append(band.top)
            kind = "triangle-down" if boat.promised else "triangle-down-open"
            marks["symbol"].append(kind)
            marks["told"].append(f"<b>{boat.order}</b> {due(boat)}")
    late = scatter(
        x=x, y=y, mode="lines", name="late", hoverinfo="skip",
        line={"color": ALARM, "width": 2.5},
    )  # fmt: skip
    promised = scatter(
        x=marks["x"], y=marks["y"], mode="markers", name="promised",
        customdata=marks["told"], hovertemplate="%{customdata}<extra></extra>",
        marker={
            "symbol": marks["symbol"], "size": 11, "color": ALARM,
            "line": {"color": INK, "width": 1},
        },
    )  # fmt: skip
    return [late, promised]


def _label(band: BoatBand) -> str:
    boat = band.boat
    name = f"<b>{boat.order}</b> {boat.model}"
    told = due(boat)
    if boat.late and boat.days is not None:
        told += f"<br><b>{count(boat.days, 'day')} late</b>"
    return f"{name}<br>{told}"


def _rule(band: BoatBand) -> dict[str, Any]:
    at = band.top - 0.45
    return {
        "type": "line", "xref": "paper", "yref": "y", "x0": 0, "x1": 1, "y0": at,
        "y1": at, "line": {"color": LINE, "width": 0.8}, "layer": "below",
    }  # fmt: skip


def _edges(first: date, after: date) -> tuple[datetime, datetime]:
    return datetime.combine(first, time()), datetime.combine(after, time())


def _iso(value: datetime) -> str:
    return value.isoformat(timespec="minutes")
