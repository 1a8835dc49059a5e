"""What entries come to: how far each operation is, as rows of work in hand."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from models.hours import operation_hours
from models.job_orders import work_models, work_orders
from models.learning import boat_numbers
from models.orders import Book, InHand
from models.recording.entries import (
    FINISH,
    PAUSE,
    REWORK,
    START,
    FloorEntry,
)
from models.recording.rework import with_rework
from models.reprep import with_begun_reprep
from models.routing import route

DONE, STARTED, PAUSED = "done", "started", "paused"
Step = tuple[str, str]  # order and operation code
_LEAST_HOURS = 0.01


@dataclass(frozen=True, slots=True)
class Progress:
    """How far an operation is; `hours` were recorded, `remaining_hours` are left."""

    state: str | None = None  # done | started | paused; None: not begun
    started: datetime | None = None
    finished: datetime | None = None
    hours: float = 0.0
    remaining_hours: float = 0.0
    mold: str | None = None
    place: str | None = None
    people: tuple[str, ...] = ()

    @property
    def is_open(self) -> bool:
        """Begun and not done."""
        return self.state in (STARTED, PAUSED)

    @property
    def lacks_hours(self) -> bool:
        """Begun, with nothing left by the hours recorded: nobody can plan that."""
        return self.is_open and self.remaining_hours < _LEAST_HOURS


def by_step(entries: Iterable[FloorEntry]) -> dict[Step, list[FloorEntry]]:
    """Entries of each operation, in their order."""
    out: dict[Step, list[FloorEntry]] = {}
    for entry in entries:
        out.setdefault((entry.order, entry.operation), []).append(entry)
    return out


def first_progress(row: InHand | None, standard_hours: float) -> Progress:
    """How far an operation is before its first entry: as `in_hand.csv` has it."""
    if row is None:
        return Progress(remaining_hours=standard_hours)
    return Progress(
        row.state,
        row.started,
        row.finished,
        0.0,
        row.remaining_hours or 0.0,
        row.mold,
        row.place,
        row.people,
    )


def after(entry: FloorEntry, so_far: Progress) -> Progress:
    """How far an operation is after one more entry."""
    now = replace(
        so_far,
        mold=entry.mold or so_far.mold,
        place=entry.place or so_far.place,
        people=entry.people or so_far.people,
    )
    if entry.what == REWORK:
        return _with_rework(entry, now)
    if entry.hours is not None:
        left = now.remaining_hours - entry.hours
        now = replace(now, hours=now.hours + entry.hours, remaining_hours=left)
    if entry.remaining_hours is not None:
        now = replace(now, remaining_hours=entry.remaining_hours)
    if entry.what == START:
        return replace(now, state=STARTED, started=now.started or entry.at)
    if entry.what == PAUSE:
        return replace(now, state=PAUSED)
    if entry.what == FINISH:
        return replace(now, state=DONE, finished=entry.at, remaining_hours=0.0)
    return now


def _with_rework(entry: FloorEntry, now: Progress) -> Progress:
    """Add work; of an operation that was done, it is what remains, and it is open."""
    more = entry.hours or 0.0
    if now.state == DONE:
        return replace(now, state=STARTED, finished=None, remaining_hours=more)
    return replace(now, remaining_hours=now.remaining_hours + more)


def standard_hours(book: Book, orders: Iterable[str]) -> dict[Step, float]:
    """Planned labor hours of some orders' operations; without a crew, their length."""
    wanted = set(orders)
    numbers = boat_numbers(book.models, book.orders)
    models = work_models(book)
    out: dict[Step, float] = {}
    for order in work_orders(book):
        if order.order not in wanted:
            continue
        model, number = models[order.order], numbers.get(order.order, 1)
        hours = operation_hours(model, order, book.yard, number)
        for routed in route(model, order).operations:
            planned = hours[routed.code]
            if routed.step.skill is None:
                planned = routed.step.duration_hours or 0.0
            out[order.order, routed.code] = planned
    return out


def progress_of(
    book: Book, entries: Sequence[FloorEntry]
) -> Mapping[Step, tuple[Progress, list[FloorEntry]]]:
    """How far each operation with entries is, with those entries."""
    before = {(row.order, row.operation): row for row in book.in_hand}
    hours = standard_hours(book, {entry.order for entry in entries})
    out: dict[Step, tuple[Progress, list[FloorEntry]]] = {}
    for step, rows in by_step(entries).items():
        # What the floor says from its start on goes before what a file says.
        known = None if rows[0].what == START else before.get(step)
        now = first_progress(known, hours.get(step, 0.0))
        for entry in rows:
            now = after(entry, now)
        out[step] = now, rows
    return out


def in_hand_rows(book: Book, entries: Sequence[FloorEntry]) -> tuple[InHand, ...]:
    """Work in hand: the book's rows, and in their place what the floor recorded."""
    return rows_of(book, progress_of(book, entries))


def rows_of(
    book: Book, progress: Mapping[Step, tuple[Progress, list[FloorEntry]]]
) -> tuple[InHand, ...]:
    """The same, where it is known how far each operation is."""
    rows = {(row.order, row.operation): row for row in book.in_hand}
    for (order, operation), (now, _) in progress.items():
        if now.state is None or now.started is None:
            continue
        is_done = now.state == DONE
        rows[order, operation] = InHand(
            order,
            operation,
            DONE if is_done else STARTED,
            now.started,
            now.finished if is_done else None,
            None if is_done else now.remaining_hours,
            now.mold,
            now.place,
            now.people,
        )
    return tuple(rows.values())


def with_facts(book: Book, entries: Sequence[FloorEntry]) -> Book:
    """The book as it is true now, planned from the day after the newest entry."""
    names = {order.order for order in work_orders(book)}
    own = [entry for entry in entries if entry.order in names]
    if not own:
        return book
    book = with_rework(book, own)
    book = with_begun_reprep(book, ((one.order, one.operation) for one in own))
    return with_rows(book, own, in_hand_rows(book, own))


def with_rows(
    book: Book, entries: Sequence[FloorEntry], rows: Iterable[InHand]
) -> Book:
    """The book with work in hand, planned from the day after the newest entry."""
    if not entries:
        return book
    day_after = max(entry.at for entry in entries).date() + timedelta(days=1)
    yard = replace(book.yard, as_of=max(book.yard.as_of, day_after))
    return replace(book, yard=yard, in_hand=tuple(rows))
