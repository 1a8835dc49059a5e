"""The same plan by mold and place: who takes each of them, and when."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time
from typing import TYPE_CHECKING

from dashboard.figures.lanes import chosen_boats, first_free, overlaps
from dashboard.graph import (
    Figure,
    Trace,
    bar,
    bars,
    figure,
    fitting,
    now_line,
    row_axis,
    shade,
    time_axis,
)
from dashboard.palette import ALARM, INK, INK_SOFT, PAPER_DEEP
from dashboard.wording import span
from models.names import plain

if TYPE_CHECKING:
    from collections.abc import Sequence

    from dashboard.filters import Filters
    from dashboard.view import Held, View

LANE_PIXELS = 22


@dataclass(frozen=True)
class HoldBand:
    """One mold or place and what is in it; a rack has several lanes."""

    resource: str
    kind: str  # hull mold | bay | ...
    top: float
    bottom: float
    held: tuple[tuple[Held, float], ...]
    away: tuple[tuple[datetime, datetime], ...]


def hold_bands(
    view: View, filters: Filters, first: date, after: date
) -> list[HoldBand]:
    """Every mold and place in the order of the yard's files."""
    chosen = {boat.order for boat in chosen_boats(view, filters)}
    by: dict[str, list[Held]] = {}
    for one in view.held:
        if one.order in chosen and overlaps(one.begins, one.ends, first, after):
            by.setdefault(one.resource, []).append(one)
    problem = view.plan.problem
    known = [(one.id, f"{one.part} mold", one.unavailable) for one in problem.molds]
    known += [(one.id, one.kind, one.unavailable) for one in problem.places]
    bands = []
    top = 0.0
    for id, kind, unavailable in known:
        mine = sorted(by.get(plain(id), []), key=lambda one: one.begins)
        lanes = first_free([(one.begins, one.ends) for one in mine])
        bottom = top + max(lanes, default=0) + 1
        placed = tuple((one, top + lane + 0.5) for one, lane in zip(mine, lanes))
        away = tuple((view.local(a), view.local(b)) for a, b in unavailable)
        away = tuple(one for one in away if overlaps(*one, first, after))
        bands.append(HoldBand(plain(id), plain(kind), top, bottom, placed, away))
        top = bottom
    return bands


def holds_figure(
    view: View, bands: Sequence[HoldBand], first: date, after: date
) -> Figure:
    """Draw molds and places against time; late boats stand out by lettering too."""
    bottom = bands[-1].bottom if bands else 1.0
    placed = [pair for band in bands for pair in band.held]
    late = {boat.order for boat in view.boats if boat.late}
    traces = [
        _taken(placed, late, (first, after), is_late=False),
        _taken(placed, late, (first, after), is_late=True),
        _away(bands),
    ]
    centers = [band.top + 0.5 for band in bands]
    labels = [
        f"<b>{band.resource}</b>"
        + ("" if band.kind in band.resource.casefold() else f" {band.kind}")
        for band in bands
    ]
    return figure(
        traces,
        int(bottom * LANE_PIXELS) + 60,
        xaxis=time_axis(first, after),
        yaxis=row_axis(centers, labels, -0.2, bottom + 0.2),
        shapes=[
            *(shade(*closed) for closed in view.closed(first, after)),
            now_line(view.now),
        ],
    )


def _taken(
    placed: Sequence[tuple[Held, float]],
    late: set[str],
    window: tuple[date, date],
    is_late: bool,
) -> Trace:
    low, high = (datetime.combine(day, time()) for day in window)
    mine = [(one, y) for one, y in placed if (one.order in late) == is_late]
    held = [one for one, _ in mine]
    ink = ALARM if is_late else INK
    # Cut to the window, so that lettering stands in the middle of what is seen.
    begins = [max(one.begins, low) for one in held]
    ends = [min(one.ends, high) for one in held]
    words = [f"{one.order} late" if is_late else one.order for one in held]
    return bar(
        **bars(begins, ends, [y for _, y in mine], 0.74),
        name="late boat" if is_late else "boat in time",
        text=[
            fitting(word, until - since, high - low)
            for word, since, until in zip(words, begins, ends)
        ],
        textposition="inside", insidetextanchor="middle", constraintext="none",
        textangle=0, insidetextfont={"size": 10.5, "color": ink},
        customdata=[
            f"<b>{one.resource}</b>: {one.order}, {one.part}<br>"
            f"{span(one.begins, one.ends)}"
            for one in held
        ],
        hovertemplate="%{customdata}<extra></extra>",
        marker={"color": PAPER_DEEP, "line": {"color": ink, "width": 1.3}},
    )  # fmt: skip


def _away(bands: Sequence[HoldBand]) -> Trace:
    spans = [
        (*one, (band.top + band.bottom) / 2, band)
        for band in bands
        for one in band.away
    ]
    return bar(
        **bars(
            [one[0] for one in spans],
            [one[1] for one in spans],
            [one[2] for one in spans],
            0.74,
        ),
        name="out of use",
        customdata=[
            f"<b>{band.resource}</b> is out of use<br>{span(begins, ends)}"
            for begins, ends, _, band in spans
        ],
        hovertemplate="%{customdata}<extra></extra>",
        marker={
            "color": "rgba(0,0,0,0)",
            "pattern": {"shape": "x", "size": 6, "solidity": 0.2, "fgcolor": INK},
            "line": {"color": INK_SOFT, "width": 1},
        },
    )
