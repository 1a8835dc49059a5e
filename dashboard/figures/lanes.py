"""Lanes: side-by-side places for things that overlap in time."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date, datetime

    from dashboard.filters import Filters
    from dashboard.view import Boat, Cure, Held, Row, View

STREAMS = ("deck", "hull", "small", "upholstery")
HOLD_LANE = 0.85  # height of the line that shows a mold or place
BOAT_GAP = 0.7
LEAST_LANES = 3.4  # room for a boat's label
LANE_PIXELS = 13


@dataclass(frozen=True)
class BoatBand:
    """One boat's band on a sheet, in lanes from the top."""

    boat: Boat
    top: float
    bottom: float
    rows: tuple[tuple[Row, float], ...]
    cures: tuple[tuple[Cure, float], ...]
    held: tuple[tuple[Held, float], ...]


def first_free(spans: Sequence[tuple[datetime, datetime]]) -> list[int]:
    """Lane of each span, in order: the first that is free at its beginning."""
    free: list[datetime] = []
    lanes = []
    for begins, ends in spans:
        lane = next((k for k, until in enumerate(free) if until <= begins), len(free))
        if lane == len(free):
            free.append(ends)
        free[lane] = ends
        lanes.append(lane)
    return lanes


def overlaps(begins: datetime, ends: datetime, first: date, after: date) -> bool:
    """Whether a span touches the days from `first` until before `after`."""
    return begins.date() < after and ends.date() >= first


def chosen_boats(view: View, filters: Filters) -> list[Boat]:
    """Boats that the filters let through, whatever the window."""
    wanted = filters.find.casefold()
    return [
        boat
        for boat in view.boats
        if (filters.show != "late" or boat.late)
        and wanted in f"{boat.order} {boat.model} {boat.customer}".casefold()
    ]


def boat_bands(
    view: View, filters: Filters, first: date, after: date
) -> list[BoatBand]:
    """One band for each chosen boat with something in the window, from the top down."""
    cures = {one.before: one for one in view.cures}
    rows: dict[str, list[Row]] = {}
    for row in view.rows:
        if overlaps(*_span(row, cures), first, after):
            rows.setdefault(row.order, []).append(row)
    held: dict[str, list[Held]] = {}
    for one in view.held:
        if overlaps(one.begins, one.ends, first, after):
            held.setdefault(one.order, []).append(one)
    bands: list[BoatBand] = []
    top = 0.0
    for boat in chosen_boats(view, filters):
        if boat.order in rows or boat.order in held:
            band = _band(
                boat, top, rows.get(boat.order, []), held.get(boat.order, []), cures
            )
            bands.append(band)
            top = band.bottom + BOAT_GAP
    return bands


def _band(
    boat: Boat, top: float, rows: list[Row], held: list[Held], cures: dict[str, Cure]
) -> BoatBand:
    at = top + 0.5
    placed: list[tuple[Row, float]] = []
    lines: list[tuple[Held, float]] = []
    for stream in STREAMS:
        of_stream = [row for row in rows if row.stream == stream]
        taken = sorted(
            (one for one in held if one.stream == stream), key=lambda one: one.begins
        )
        if taken:
            lines += [(one, at) for one in taken]
            at += HOLD_LANE
        lanes = first_free([_span(row, cures) for row in of_stream])
        placed += [(row, at + lane) for row, lane in zip(of_stream, lanes)]
        at += max(lanes, default=-1) + 1
    at = max(at, top + LEAST_LANES)
    cured = [(cures[row.id], y) for row, y in placed if row.id in cures]
    return BoatBand(boat, top, at, tuple(placed), tuple(cured), tuple(lines))


def _span(row: Row, cures: dict[str, Cure]) -> tuple[datetime, datetime]:
    cure = cures.get(row.id)
    return row.begins, max(row.ends, cure.ends) if cure else row.ends


def strips(bands: Sequence[BoatBand], most: float) -> list[list[BoatBand]]:
    """Cut bands into strips that fit a page, at least one band each."""
    cut: list[list[BoatBand]] = []
    for band in bands:
        if not cut or band.bottom - cut[-1][0].top > most:
            cut.append([])
        cut[-1].append(band)
    return cut
