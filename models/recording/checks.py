"""What entries must keep: order of work, cures, molds, people, hours.

The same rules as for `in_hand.csv`, told as of entries. Faults name an operation and
the column of an entry.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import replace
from datetime import datetime

from models.boat import RoutingWait
from models.errors import DataFaults, Fault
from models.job_orders import work_models, work_orders
from models.loading.checks.floor import Floor
from models.loading.checks.in_hand import check_in_hand
from models.loading.checks.scope import NOTHING_LEFT_OUT, YardScope
from models.loading.csv import Read, Table
from models.loading.faults import FaultLog, one_of, quoted
from models.loading.orders import InHandRow
from models.orders import Book, InHand
from models.recording.entries import (
    FINISH,
    GATE,
    HOURS,
    PAUSE,
    PEOPLE,
    REWORK,
    SCRAP,
    START,
    FloorEntry,
)
from models.recording.facts import (
    DONE,
    PAUSED,
    STARTED,
    Progress,
    Step,
    after,
    first_progress,
    progress_of,
    rows_of,
    standard_hours,
    with_rows,
)
from models.recording.gates import gate_objections
from models.recording.in_the_yard import orders_in_the_yard
from models.recording.objection import Objection
from models.recording.release import released_at
from models.recording.rework import rework_objections, with_rework
from models.reprep import with_begun_reprep
from models.routing import Routing, route

_NEEDS_A_NOTE = (SCRAP, REWORK)


def objections(book: Book, entries: Sequence[FloorEntry]) -> list[Objection]:
    """Find everything that is wrong with entries that hold together.

    Parameters
    ----------
    book : Book
        What was loaded last.
    entries : sequence of FloorEntry
        All that hold, in their order, of every order.
    """
    book = with_rework(book, entries)
    book = with_begun_reprep(book, ((one.order, one.operation) for one in entries))
    models = work_models(book)
    begun = {one.order for one in entries} | {row.order for row in book.in_hand}
    routings = {
        one.order: route(models[one.order], one)
        for one in work_orders(book)
        if one.order in begun
    }
    found = list(_unknown(entries, routings, list(models)))
    unknown = {one.entry for one in found}
    entries = [one for one in entries if one not in unknown]
    found += [one for entry in entries for one in _of_entry(entry)]
    progress = progress_of(book, entries)
    found += _sequences(book, progress)
    rows = {(row.order, row.operation): row for row in rows_of(book, progress)}
    found += _waits(book, entries, routings, rows)
    found += gate_objections(entries, routings, rows)
    found += rework_objections(book, entries, routings)
    if len(found) == len(unknown):
        now = with_rows(book, entries, rows.values())
        found += _together(now, entries, routings)
    return found


def _unknown(
    entries: Sequence[FloorEntry],
    routings: Mapping[str, Routing],
    orders: Sequence[str],
) -> Iterator[Objection]:
    for one in entries:
        routing = routings.get(one.order)
        if routing is None:
            expected = one_of(one.order, orders, "an order that was loaded")
            yield Objection(one, "order", quoted(one.order), expected)
            continue
        codes = [routed.code for routed in routing.operations]
        if one.operation not in codes:
            expected = one_of(one.operation, codes, "an operation of this boat")
            yield Objection(one, "operation", quoted(one.operation), expected)


def _of_entry(entry: FloorEntry) -> Iterator[Objection]:
    """Look at what one entry has to say, whatever the others do."""
    if entry.what in (HOURS, REWORK) and not entry.hours:
        found = "nothing" if entry.hours is None else "0"
        yield Objection(entry, "hours", found, "labor hours above 0")
    if entry.what in (START, PEOPLE, SCRAP) and entry.hours is not None:
        expected = f"nothing in an entry of the kind '{entry.what}'"
        yield Objection(entry, "hours", f"{entry.hours:g}", expected)
    if entry.what == PEOPLE and not entry.people:
        yield Objection(entry, "people", "nothing", "who works on it now")
    if entry.what in (FINISH, REWORK) and entry.remaining_hours is not None:
        found = f"{entry.remaining_hours:g}"
        expected = "nothing" + (", as it is done" if entry.what == FINISH else "")
        yield Objection(entry, "remaining_hours", found, expected)
    if entry.what in _NEEDS_A_NOTE and not entry.note:
        yield Objection(entry, "note", "nothing", "what it is, and why")


def _sequences(
    book: Book, found: Mapping[Step, tuple[Progress, list[FloorEntry]]]
) -> Iterator[Objection]:
    """Follow each operation from entry to entry."""
    before = {(row.order, row.operation): row for row in book.in_hand}
    hours = standard_hours(book, {order for order, _ in found})
    held = _last_of_holds(book)
    for step, (end, rows) in found.items():
        base = None if rows[0].what == START else before.get(step)
        now = first_progress(base, hours[step])
        for entry in rows:
            reason = _refusal(entry, now, held)
            if reason is not None:
                yield Objection(entry, "what", *reason)
                break
            now = after(entry, now)
        else:
            if end.lacks_hours:
                given = f"{end.hours:g} of {hours[step]:g} h, and no end"
                expected = "the labor hours that remain, or a finish"
                yield Objection(rows[-1], "remaining_hours", given, expected)


def _last_of_holds(book: Book) -> set[Step]:
    """Operations with whose end a part leaves its mold or its place."""
    out = set()
    for order, model in work_models(book).items():
        for part in model.parts:
            ends = (part.mold_to, part.place_to)
            out |= {(order, code) for code in ends if code is not None}
    return out


def _refusal(
    entry: FloorEntry, now: Progress, held: set[Step]
) -> tuple[str, str] | None:
    """Say what was found and expected where an entry cannot follow; None if it can."""
    found = f"{entry.what} at {_shown(entry.at)}"
    since = {DONE: now.finished, STARTED: now.started, PAUSED: now.started}
    at = since.get(now.state or "")
    if at is not None and entry.at < at:
        word = "its end" if now.state == DONE else "its start"
        if entry.what not in (FINISH, GATE) and now.state == DONE:
            return f"{found}, of work that was done at {_shown(at)}", "work under way"
        return found, f"a time from {word} ({_shown(at)}) on"
    if entry.what == START:
        if now.state == STARTED:
            return (
                f"{found}, begun already at {_shown(at)}",
                "a pause before it",
            )
        if now.state == DONE:
            return (
                f"{found}, done already at {_shown(at)}",
                "work not done",
            )
        return None
    if now.state is None:
        return f"{found}, not begun", "a start before it"
    if now.state == DONE:
        return _refusal_when_done(entry, found, held)
    if entry.what == GATE:
        return f"{found}, of work that is not done", "its finish first"
    if entry.what == PAUSE and now.state == PAUSED:
        return f"{found}, paused already", "work that goes on"
    return None


def _refusal_when_done(
    entry: FloorEntry, found: str, held: set[Step]
) -> tuple[str, str] | None:
    if entry.what in (HOURS, SCRAP, GATE):
        return None
    if entry.what != REWORK:
        return f"{found}, of work that is done", "work under way"
    if (entry.order, entry.operation) in held:
        return f"{found}, after its part has left", "a rework of the step that is not"
    return None


def _waits(
    book: Book,
    entries: Sequence[FloorEntry],
    routings: Mapping[str, Routing],
    rows: Mapping[Step, InHand],
) -> Iterator[Objection]:
    """Check that nothing was begun before what it waits for, cures included."""
    last = {(one.order, one.operation): one for one in entries}
    first: dict[tuple[str, str, str], FloorEntry] = {}
    for one in entries:
        first.setdefault((one.order, one.operation, one.what), one)
    for order in {one.order: None for one in entries}:
        for wait in routings[order].waits:
            ends = (order, wait.after), (order, wait.before)
            # The entry that says when the waiting end of the wait was reached.
            kind = START if wait.after_of == "start" else FINISH
            told = first.get((*ends[0], kind)) or last.get(ends[0]) or last.get(ends[1])
            reason = _broken(wait, rows.get(ends[1]), rows.get(ends[0]), book)
            if told is not None and reason is not None:
                yield Objection(told, "at", *reason)


def _broken(
    wait: RoutingWait, before: InHand | None, later: InHand | None, book: Book
) -> tuple[str, str] | None:
    reached = _when(later, wait.after_of)
    if reached is None:
        return None
    verb = "begun" if wait.after_of == "start" else "done"
    found = f"'{wait.after}' {verb} at {_shown(reached)}"
    left = _when(before, wait.before_of)
    if left is None:
        state = "begun" if wait.before_of == "start" else "done"
        return found, f"'{wait.before}' {state} first, as the routing says"
    if wait.clock != "wall":
        return (found, f"{_shown(left)} or later") if reached < left else None
    yard = book.yard
    allowed = released_at(wait, left, yard.time_zone, yard.temperature)
    if allowed is None:
        return found, f"a warmer shop: the {wait.kind} after '{wait.before}' never ends"
    if reached >= allowed:
        return None
    why = f"'{wait.before}' {'ended' if wait.before_of == 'end' else 'began'}"
    if allowed > left:
        return found, f"{_shown(allowed)} or later ({wait.kind} after {why})"
    return found, f"{_shown(allowed)} or later, as {why} then"


def _when(row: InHand | None, end: str) -> datetime | None:
    if row is None:
        return None
    return row.started if end == "start" else row.finished


def _together(
    now: Book, entries: Sequence[FloorEntry], routings: Mapping[str, Routing]
) -> Iterator[Objection]:
    """Hold what entries come to against the checks of `in_hand.csv`."""
    log = FaultLog()
    floor = Floor(
        YardScope(now.yard, "yard", log, NOTHING_LEFT_OUT),
        log,
        frozenset(one.order for one in work_orders(now)),
        work_models(now),
        routings,
    )
    lines = [Read(f"{row.order}\t{row.operation}", 0, _row(row)) for row in now.in_hand]
    check_in_hand(Table(tuple(lines)), floor)
    last = {f"{one.order}\t{one.operation}": one for one in entries}
    for fault in _faults(log):
        entry = next((last[key] for key in last if fault.file.endswith(key)), None)
        if entry is not None:
            column = fault.where.rpartition(", ")[2]
            yield Objection(entry, column, fault.found, fault.expected)


def _faults(log: FaultLog) -> tuple[Fault, ...]:
    try:
        log.raise_if_any()
    except DataFaults as error:
        return error.faults
    return ()


def _row(row: InHand) -> InHandRow:
    return InHandRow(
        order=row.order,
        operation=row.operation,
        state="done" if row.state == DONE else "started",
        started=row.started,
        finished=row.finished,
        remaining_hours=row.remaining_hours,
        mold=row.mold,
        place=row.place,
        people=list(row.people),
    )


def _shown(at: datetime | None) -> str:
    return "" if at is None else f"{at:%Y-%m-%d %H:%M}"


def new_objections(
    book: Book, before: Sequence[FloorEntry], now: Sequence[FloorEntry]
) -> list[Objection]:
    """Give what is wrong with entries now that was not wrong before.

    Only boats with other entries than before are looked at, and those in the yard whose
    molds and places they could want.
    """
    orders = {one.order for one in set(before).symmetric_difference(now)}
    orders |= orders_in_the_yard(book, before) | orders_in_the_yard(book, now)
    found = objections(*_narrowed(book, now, orders))
    known = set(objections(*_narrowed(book, before, orders))) if found else set()
    return [one for one in found if one not in known]


def _narrowed(
    book: Book, entries: Sequence[FloorEntry], orders: Set[str]
) -> tuple[Book, list[FloorEntry]]:
    """Leave out what was recorded of other orders, and what files say of them."""
    told = {one.order for one in entries} - orders
    rows = tuple(row for row in book.in_hand if row.order not in told)
    return replace(book, in_hand=rows), [one for one in entries if one.order in orders]
