"""What is true on the floor now, and what the planner has pinned, as commitments.

Facts are recorded to the minute; each becomes the first tick at or after it, starts
and ends alike. Rounding both the same way keeps what followed upon each other apart,
and a cure that counts from a rounded end is never too short.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Literal

from models.axis import Axis, local_instant
from models.errors import Fault
from models.job_orders import work_orders
from models.orders import Book, InHand, Lock
from scheduler.problem import Committed, Operation, Part, Problem, Wait
from scheduler.waiting import WaitClock

IN_HAND, LOCKS, ARRIVALS = "in_hand.csv", "locks.csv", "arrivals.csv"
Ends = Literal["mold", "place"]


@dataclass(slots=True)
class Facts:
    """Commitments by operation, with what else the facts say, and what is wrong."""

    committed: dict[str, Committed] = field(default_factory=dict)
    remaining: dict[str, float | None] = field(default_factory=dict)
    rounding: dict[tuple[str, str], int] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)


def fact_tick(naive: datetime, axis: Axis) -> tuple[int, int]:
    """Give the tick of a local fact and by how many minutes it is later.

    What lies before the axis counts as its beginning.
    """
    instant = local_instant(naive.date(), naive.time(), axis.zone)
    tick = axis.tick_ceil(instant)
    if tick < 0:
        return 0, 0
    return tick, (axis.instant(tick) - instant) // timedelta(minutes=1)


def read_in_hand(
    book: Book, axis: Axis, parts: Mapping[str, list[Part]], known: Iterable[str]
) -> Facts:
    """Turn `in_hand.csv` into commitments.

    `parts` are those of each order, `known` the ids of all operations.
    """
    facts = Facts()
    ids = set(known)
    rows: dict[str, dict[str, InHand]] = {}
    for row in book.in_hand:
        name = f"{row.order}/{row.operation}"
        if name not in ids:
            facts.faults.append(
                _fault(IN_HAND, name, row.operation, "an operation of this order")
            )
            continue
        rows.setdefault(row.order, {})[row.operation] = row
        _read_row(row, name, axis, facts)
    for order, of_order in rows.items():
        for part in parts[order]:
            _say_where(part, "mold", of_order, book, facts)
            _say_where(part, "place", of_order, book, facts)
    return facts


def _read_row(row: InHand, name: str, axis: Axis, facts: Facts) -> None:
    start, late = fact_tick(row.started, axis)
    facts.rounding[name, "start"] = late
    finish = None
    if row.state == "done":
        if row.finished is None:
            facts.faults.append(
                _fault(IN_HAND, name, "no time in 'finished'", "when it was done")
            )
            return
        finish, late = fact_tick(row.finished, axis)
        facts.rounding[name, "end"] = late
    elif row.remaining_hours is not None:
        facts.remaining[name] = row.remaining_hours
    people = row.people if row.state == "done" else ()  # who goes on is decided anew
    facts.committed[name] = Committed(
        name,
        start,
        finish,
        None,
        None,
        people,
        "done" if finish is not None else "started",
    )


def _say_where(
    part: Part, kind: Ends, rows: Mapping[str, InHand], book: Book, facts: Facts
) -> None:
    """Put a part's mold or place on the operations that begin and end its stay.

    Any row of an operation inside the stay may name it.
    """
    first = part.mold_from if kind == "mold" else part.place_from
    last = part.mold_to if kind == "mold" else part.place_to
    if first is None or last is None or first not in facts.committed:
        return
    fitting = _fitting(part, kind, book)
    begins = first.removeprefix(f"{part.order}/")
    ordered = sorted(rows.values(), key=lambda row: row.operation != begins)
    named = [row.mold if kind == "mold" else row.place for row in ordered]
    found = next((name for name in named if name in fitting), None)
    is_over = last in facts.committed and facts.committed[last].why == "done"
    if found is None and not is_over and len(fitting) == 1:
        found = next(iter(fitting))
    if found is None and not is_over:
        what = f"the {kind} that the {part.part} is in: {', '.join(sorted(fitting))}"
        facts.faults.append(_fault(IN_HAND, first, f"no {kind} that fits", what))
    for name in {first, last} & facts.committed.keys():
        facts.committed[name] = _located(facts.committed[name], kind, found)


def _located(entry: Committed, kind: Ends, name: str | None) -> Committed:
    mold, place = entry.mold, entry.place
    if kind == "mold":
        mold = mold or name
    else:
        place = place or name
    return Committed(
        entry.operation, entry.start, entry.finish, mold, place, entry.people, entry.why
    )


def _fitting(part: Part, kind: Ends, book: Book) -> set[str]:
    model = next(one.model for one in work_orders(book) if one.order == part.order)
    if kind == "mold":
        return {
            mold.id
            for mold in book.yard.molds
            if mold.part == part.part and model in mold.models
        }
    return {
        place.id
        for place in book.yard.places
        if place.kind == part.place_kind and (not place.models or model in place.models)
    }


def read_locks(
    book: Book,
    axis: Axis,
    parts: Mapping[str, list[Part]],
    operations: Mapping[str, Operation],
    facts: Facts,
) -> None:
    """Add `locks.csv` to the commitments; what is done or started stays as it is."""
    for lock in book.locks:
        name = f"{lock.order}/{lock.operation}"
        operation = operations.get(name)
        if operation is None:
            facts.faults.append(
                _fault(LOCKS, name, lock.operation, "an operation of this order")
            )
        elif name not in facts.committed:
            facts.committed[name] = _locked(lock, operation, axis)
            facts.faults += _lock_faults(lock, operation, parts[lock.order], axis)
        elif facts.committed[name].why == "started" and lock.people:
            given = facts.committed[name]
            facts.committed[name] = Committed(
                name, given.start, None, given.mold, given.place, lock.people, "started"
            )


def _locked(lock: Lock, operation: Operation, axis: Axis) -> Committed:
    start = None if lock.start is None else fact_tick(lock.start, axis)[0]
    return Committed(operation.id, start, None, lock.mold, None, lock.people, "locked")


def _lock_faults(
    lock: Lock, operation: Operation, parts: list[Part], axis: Axis
) -> Iterable[Fault]:
    if lock.start is not None and fact_tick(lock.start, axis)[0] < operation.earliest:
        first = axis.local(operation.earliest).isoformat(" ", "minutes")[:16]
        yield _fault(
            LOCKS,
            operation.id,
            f"start {lock.start:%Y-%m-%d %H:%M}",
            f"a start from {first} on (today, its release, its items)",
        )
    ends = {one for part in parts for one in (part.mold_from, part.mold_to)}
    if lock.mold is not None and operation.id not in ends:
        yield _fault(
            LOCKS,
            operation.id,
            f"mold {lock.mold}",
            "a mold only on an operation with which a part enters or leaves its mold",
        )


def lost_windows(problem: Problem) -> list[Wait]:
    """Find maximum waits that facts have broken before the later step was begun."""
    clock = WaitClock(problem)
    given = {one.operation: one for one in problem.committed}
    operations = {one.id: one for one in problem.operations}
    lost = []
    for wait in problem.waits:
        after = given.get(wait.after)
        since = _when(given.get(wait.before), wait.before_of)
        if since is None or (after is not None and after.why in ("done", "started")):
            continue
        if clock.is_lost(wait, since, operations[wait.after]):
            lost.append(wait)
    return lost


def wait_faults(problem: Problem, lost: Iterable[Wait]) -> list[Fault]:
    """Find facts that contradict a wait; maximum waits that are `lost` are faults."""
    clock = WaitClock(problem)
    given = {one.operation: one for one in problem.committed}
    faults = []
    for wait in problem.waits:
        before, after = given.get(wait.before), given.get(wait.after)
        since = _when(before, wait.before_of)
        if after is not None and after.why in ("done", "started"):
            if since is None and _when(after, wait.after_of) is not None:
                faults.append(_out_of_order(wait, after))
            elif after.why == "started" and since is not None:
                faults += _broken(wait, since, _when(after, wait.after_of), clock)
    return faults + [_lost(wait) for wait in lost]


def _when(entry: Committed | None, end: str) -> int | None:
    if entry is None or entry.why not in ("done", "started"):
        return None
    return entry.start if end == "start" else entry.finish


def _out_of_order(wait: Wait, after: Committed) -> Fault:
    state = "done" if wait.before_of == "end" else "begun"
    _, code = wait.before.split("/", 1)
    return _fault(IN_HAND, wait.after, after.why, f"{code} {state} before it")


def _broken(
    wait: Wait, since: int, until: int | None, clock: WaitClock
) -> Iterable[Fault]:
    if until is None:
        return
    if not clock.keeps(wait, since, until):
        tick = clock.axis.tick_minutes
        hours = clock.gap(wait, since, until) * tick / 60
        cured = clock.cured(wait, since)
        least = f"at least {wait.min_minutes / 60:g} h"
        if cured is not None:
            least = f"at least {(cured - since) * tick / 60:g} h in the cold shop"
        high = wait.kept_maximum_minutes
        most = "" if high is None else f", at most {high / 60:g} h"
        _, code = wait.before.split("/", 1)
        yield _fault(
            IN_HAND,
            wait.after,
            f"begun {hours:g} h after {code} ({wait.kind})",
            least + most,
        )


def _lost(wait: Wait) -> Fault:
    _, code = wait.before.split("/", 1)
    hours = (wait.max_minutes or 0) / 60
    return _fault(
        IN_HAND,
        wait.after,
        f"not begun, and the {hours:g} h after {code} ({wait.kind}) have run out",
        "the step recorded, if it was begun in time, or a re-preparation ('reprep') of "
        "this wait in the routing",
    )


def _fault(file: str, name: str, found: str, expected: str) -> Fault:
    order, _, code = name.partition("/")
    return Fault(file, f"order {order}, {code}", found, expected)
