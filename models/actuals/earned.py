"""Hours earned against hours worked, by station and week.

*Earned* are the standard hours of what is finished, in the week in which it was. Of a
step that is under way, what the floor says remains is taken at its word: its standard
hours less those are earned. Where nobody says it, nothing is earned until the finish.
A step is earned once: rework earns nothing, and its hours count as worked. A step that
was begun before anybody recorded it can only earn what remained of it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from models.actuals.finished import PlannedStep, planned_steps
from models.actuals.past import Past
from models.orders import InHand
from models.recording.entries import FINISH, REWORK, FloorEntry
from models.recording.facts import by_step


@dataclass(frozen=True, slots=True)
class StationWeek:
    """Labor hours of a station in a week, named by its Monday.

    `unrecorded_hours` were earned by steps for which nobody recorded hours; they are
    no part of `earned_hours`.
    """

    station: str
    week: date
    earned_hours: float
    actual_hours: float
    unrecorded_hours: float


def earned_against_actual(
    past: Past, entries: Sequence[FloorEntry]
) -> tuple[StationWeek, ...]:
    """Sum up what was earned and worked, by station and week, in their order.

    Parameters
    ----------
    past : Past
        With the standards that hold now: all weeks are measured by the same.
    entries : sequence of FloorEntry
        All that hold, in their order.
    """
    planned = planned_steps(past, entries)
    known = {(row.order, row.operation): row for row in past.book.in_hand}
    cells: dict[tuple[str, date], list[float]] = defaultdict(lambda: [0.0, 0.0, 0.0])
    for key, rows in by_step(entries).items():
        step = planned.get(key)
        if step is None:
            continue
        told = any(_worked(row) > 0 for row in rows)
        for row in rows:
            cells[step.station, _monday(row)][1] += _worked(row)
        for row, hours in _earned(step, rows, known.get(key)):
            cells[step.station, _monday(row)][0 if told else 2] += hours
    return tuple(
        StationWeek(station, week, *cells[station, week])
        for station, week in sorted(cells)
        if any(cells[station, week])
    )


def _earned(
    step: PlannedStep, rows: Sequence[FloorEntry], known: InHand | None
) -> Iterator[tuple[FloorEntry, float]]:
    """What each entry of a step adds to the hours earned; less than 0 takes back."""
    if step.is_rework or (known is not None and known.state == "done"):
        return
    whole = step.standard_hours
    before = 0.0
    if known is not None:
        before = _done(whole, known.remaining_hours or 0.0)
    so_far = before
    for row in rows:
        if row.what == FINISH:
            yield row, whole - so_far
            return
        if row.remaining_hours is not None:
            now = max(before, _done(whole, row.remaining_hours))
            yield row, now - so_far
            so_far = now


def _done(whole: float, remaining: float) -> float:
    return max(0.0, whole - remaining)


def _worked(row: FloorEntry) -> float:
    """Labor hours worked; those of an entry `rework` are yet to come."""
    return 0.0 if row.what == REWORK else row.hours or 0.0


def _monday(row: FloorEntry) -> date:
    day = row.at.date()
    return day - timedelta(days=day.weekday())
