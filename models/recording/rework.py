"""Rework that a failed gate asks for: a step of its own before the next result.

A fail with hours of rework puts a step after the one that was inspected. The step has
the same gate, so that its result is the next one; what waited for the first step waits
for the rework. If that fails too, another rework follows it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from models.loading.checks.fit import FitChecks
from models.loading.checks.scope import NOTHING_LEFT_OUT, YardScope
from models.loading.faults import FaultLog, one_of, quoted
from models.orders import Book, Rework
from models.recording.entries import FAIL, GATE, FloorEntry
from models.recording.objection import Objection
from models.rework import rework_code
from models.routing import Routing


def with_rework(book: Book, entries: Sequence[FloorEntry]) -> Book:
    """The book with the rework that failed gates ask for, in the order of entries."""
    found: dict[str, list[Rework]] = {}
    orders = {one.order: one for one in book.orders}
    for entry in entries:
        if not asks_for_rework(entry) or entry.order not in orders:
            continue
        here = found.setdefault(entry.order, list(orders[entry.order].rework))
        asked = _rework(entry)
        if all(one.code != asked.code for one in here):
            here.append(asked)
    if not found:
        return book
    return replace(
        book,
        orders=tuple(
            replace(one, rework=tuple(found.get(one.order, one.rework)))
            for one in book.orders
        ),
    )


def asks_for_rework(entry: FloorEntry) -> bool:
    """Whether an entry is a fail with hours of rework."""
    return (entry.what, entry.result) == (GATE, FAIL) and bool(entry.rework_hours)


def _rework(entry: FloorEntry) -> Rework:
    return Rework(
        code=rework_code(entry.operation),
        name=f"Rework: {entry.note}",
        after=entry.operation,
        like=entry.rework_step or entry.operation,
        hours=entry.rework_hours or 0.0,
    )


def rework_objections(
    book: Book, entries: Sequence[FloorEntry], routings: Mapping[str, Routing]
) -> Iterator[Objection]:
    """Find rework that cannot be, and results that come too late for it.

    Parameters
    ----------
    book : Book
        With the rework of the entries (`with_rework`).
    entries : sequence of FloorEntry
        All that hold, in their order, of steps that are known.
    routings : mapping
        By order, with the rework.
    """
    asked: set[tuple[str, str]] = set()
    for entry in entries:
        yield from _of_columns(entry)
        step = (entry.order, entry.operation)
        if entry.what == GATE and step in asked:
            code = rework_code(entry.operation)
            found = f"{entry.result} of work to which '{code}' was added"
            yield Objection(entry, "operation", found, f"the result of '{code}'")
        if asks_for_rework(entry):
            asked.add(step)
            yield from _of_step(book, entry, routings[entry.order])


def _of_columns(entry: FloorEntry) -> Iterator[Objection]:
    failed = (entry.what, entry.result) == (GATE, FAIL)
    if entry.rework_hours is not None and not failed:
        found, expected = f"{entry.rework_hours:g}", "nothing but on a gate that failed"
        yield Objection(entry, "rework_hours", found, expected)
    elif entry.rework_hours == 0:
        yield Objection(entry, "rework_hours", "0", "labor hours above 0")
    if entry.rework_step is not None and entry.rework_hours is None:
        expected = "rework_hours with it"
        yield Objection(entry, "rework_step", quoted(entry.rework_step), expected)


def _of_step(book: Book, entry: FloorEntry, routing: Routing) -> Iterator[Objection]:
    """Look whether the rework can be done by the people and shifts that there are."""
    like = entry.rework_step or entry.operation
    column = "rework_hours" if entry.rework_step is None else "rework_step"
    steps = {one.code: one.step for one in routing.operations}
    if like not in steps:
        expected = one_of(like, list(steps), "an operation of this boat")
        yield Objection(entry, column, quoted(like), expected)
        return
    if steps[like].skill is None:
        expected = "rework_step: a step with a crew, as which it is done"
        yield Objection(entry, column, f"'{like}', which has no crew", expected)
        return
    step = steps.get(rework_code(entry.operation))
    if step is None:
        return
    scope = YardScope(book.yard, "yard", FaultLog(), NOTHING_LEFT_OUT)
    fault = FitChecks(scope).fault(step, routing.quantities)
    if fault is not None:
        yield Objection(entry, "rework_hours", *fault)
