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
class Shut:
    """A mold or place that nobody may use: in service, or else out of use."""

    resource: str
    is_mold: bool
    begins: datetime
    ends: datetime
    served: bool = False

    @property
    def why(self) -> str:
        """In words."""
        return "in service" if self.served else "out of use"


@dataclass(frozen=True)
class HoldBand:
    """One mold or place and what is in it; a rack has several lanes."""

    resource: str
    kind: str  # hull mold | bay | ...
    top: float
    bottom: float
    held: tuple[tuple[Held, float], ...]
    shut: tuple[Shut, ...]


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
    known = [(one.id, f"{one.part} mold") for one in problem.molds]
    known += [(one.id, one.kind) for one in problem.places]
    shut = _shut(view, first, after)
    bands = []
    top = 0.0
    for id, kind in known:
        mine = sorted(by.get(plain(id), []), key=lambda one: one.begins)
        lanes = first_free([(one.begins, one.ends) for one in mine])
        bottom = top + max(lanes, default=0) + 1
        placed = tuple((one, top + lane + 0.5) for one, lane in zip(mine, lanes))
        away = tuple(one for one in shut if one.resource == plain(id))
        bands.append(HoldBand(plain(id), plain(kind), top, bottom, placed, away))
        top = bottom
    return bands


def _shut(view: View, first: date, after: date) -> list[Shut]:
    """When molds and places are in service or out of use in a window, by time."""
    problem = view.plan.problem
    spans = [
        (one.id, True, at, False) for one in problem.molds for at in one.unavailable
    ]
    spans += [
        (one.id, False, at, False) for one in problem.places for at in one.unavailable
    ]
    spans += [
        (one.mold, True, (one.start, one.finish), True)
        for one in view.plan.answer.services
    ]
    found = [
        Shut(plain(id), is_mold, view.local(start), view.local(finish), served)
        for id, is_mold, (start, finish), served in spans
    ]
    inside = [one for one in found if overlaps(one.begins, one.ends, first, after)]
    return sorted(inside, key=lambda one: (one.begins, one.resource))


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
        _hatched(bands, "out of use", "x"),
        _hatched(bands, "in service", "/"),
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


def _hatched(bands: Sequence[HoldBand], why: str, pattern: str) -> Trace:
    found = [
        (one, (band.top + band.bottom) / 2)
        for band in bands
        for one in band.shut
        if one.why == why
    ]
    return bar(
        **bars(
            [one.begins for one, _ in found],
            [one.ends for one, _ in found],
            [at for _, at in found],
            0.74,
        ),
        name=why,
        customdata=[
            f"<b>{one.resource}</b> is {why}<br>{span(one.begins, one.ends)}"
            for one, _ in found
        ],
        hovertemplate="%{customdata}<extra></extra>",
        marker={
            "color": "rgba(0,0,0,0)",
            "pattern": {"shape": pattern, "size": 6, "solidity": 0.2, "fgcolor": INK},
            "line": {"color": INK_SOFT, "width": 1},
        },
    )
