"""Finished steps whose recorded hours say something of the standard."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from models.actuals.past import Past, Step
from models.hours import operation_hours
from models.recording.entries import REWORK, SCRAP, START, FloorEntry
from models.recording.facts import DONE, after, by_step, first_progress
from models.recording.rework import with_rework
from models.reprep import with_begun_reprep
from models.rework import added_step
from models.routing import route


@dataclass(frozen=True, slots=True)
class PlannedStep:
    """A step with a crew, and its standard hours."""

    order: str
    model: str
    operation: str
    station: str
    standard_hours: float

    @property
    def is_rework(self) -> bool:
        """Whether it does another step again."""
        return added_step(self.operation) is not None


@dataclass(frozen=True, slots=True)
class FinishedStep:
    """A finished step of one boat: standard hours, and hours that were recorded."""

    order: str
    model: str
    operation: str
    finished: date
    standard_hours: float
    actual_hours: float


def planned_steps(past: Past, entries: Sequence[FloorEntry]) -> dict[Step, PlannedStep]:
    """Steps with a crew of every boat that has entries, by order and operation."""
    book = with_rework(past.book, entries)
    book = with_begun_reprep(book, ((one.order, one.operation) for one in entries))
    wanted = {entry.order for entry in entries}
    out: dict[Step, PlannedStep] = {}
    for order in book.orders:
        if order.order not in wanted:
            continue
        model, number = book.models[order.model], past.numbers.get(order.order)
        hours = operation_hours(model, order, book.yard, number)
        for routed in route(model, order).operations:
            code, station = routed.code, routed.step.station
            if routed.step.skill is not None:
                out[order.order, code] = PlannedStep(
                    order.order, order.model, code, station, hours[code]
                )
    return out


def finished_steps(past: Past, entries: Sequence[FloorEntry]) -> list[FinishedStep]:
    """Steps that the floor recorded from their start to their finish, with hours.

    A step that was scrapped or worked again, rework itself, and a step that was begun
    before anybody recorded its hours say nothing of the standard: they are left out.
    """
    planned = planned_steps(past, entries)
    begun_before = {(row.order, row.operation) for row in past.book.in_hand}
    found = []
    for key, rows in by_step(entries).items():
        step = planned.get(key)
        if step is None or key in begun_before or not _tells(step, rows):
            continue
        now = first_progress(None, step.standard_hours)
        for row in rows:
            now = after(row, now)
        if now.state == DONE and now.finished is not None and now.hours > 0:
            found.append(_finished(step, now.finished.date(), now.hours))
    return sorted(found, key=lambda one: (one.model, one.operation, one.order))


def _tells(step: PlannedStep, rows: Sequence[FloorEntry]) -> bool:
    """Whether the hours of a step, once it is done, are those of its standard."""
    if step.standard_hours <= 0 or step.is_rework or rows[0].what != START:
        return False
    return all(row.what not in (SCRAP, REWORK) for row in rows)


def _finished(step: PlannedStep, on: date, hours: float) -> FinishedStep:
    return FinishedStep(
        step.order, step.model, step.operation, on, step.standard_hours, hours
    )
