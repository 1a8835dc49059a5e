"""Recording what the floor says: one transaction, checked, and nothing twice."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from sqlalchemy import Connection

from models.errors import DataFaults, Fault, Overtaken, UsageError
from models.job_orders import work_orders
from models.loading.floor_entries import NOTHING, Draft
from models.orders import Book
from models.recording.checks import new_objections
from models.recording.conditions import Sheets, sheets_of, warnings_of
from models.recording.entries import WITHDRAW, FloorEntry, Key, Recorded, standing
from models.recording.facts import by_step
from models.recording.objection import Objection
from models.store.decisions import book_in_force
from models.store.documents import digest, to_text
from models.store.floor_entries import (
    orders_gone,
    orders_told_of,
    read_records,
)
from models.store.loads import read_state
from models.store.log import Author, append
from models.store.numbering import next_number
from models.store.plan_outline import Outline, read_outline
from models.store.plans import newest
from models.store.schema import floor_entries
from models.store.transactions import Store, read, write

_FURTHEST_AHEAD = timedelta(days=31)


@dataclass(frozen=True, slots=True)
class RecordResult:
    """What recording did: the number of each draft's entry, and which are new.

    `replaced` gives, of entries that were known, the one that holds in its place;
    `warnings` says of new ones what a data sheet does not allow or is not told.
    """

    numbers: tuple[int, ...]
    new: tuple[Recorded, ...]
    replaced: dict[int, int]
    warnings: dict[int, tuple[str, ...]] = field(default_factory=dict)


def record(store: Store, drafts: Sequence[Draft], author: Author) -> RecordResult:
    """Write entries, all or none.

    An entry that was written before, word for word, is not written again.

    Parameters
    ----------
    drafts : sequence of Draft
        In the order in which they hold where they are of the same minute.
    author : Author
        Who records, when, and why; a correction needs a reason, here or in its note.

    Raises
    ------
    DataFaults
        With everything that cannot be true; nothing was recorded.
    Overtaken
        If somebody else has corrected the same entry.
    UsageError
        If nothing was loaded or no plan was published yet.
    """

    def work(connection: Connection) -> RecordResult:
        book, orders = _concerned(connection, _book(connection, store), drafts)
        known = read_records(connection, orders)
        number = next_number(connection, "floor_entries")
        sorter = _Sorter(known, number, author)
        sorter.take_all(drafts)
        faults = sorter.faults or _faults(connection, book, known, sorter)
        if faults:
            raise DataFaults(faults, NOTHING)
        warnings = _warnings(book, sorter)
        _write(connection, sorter.new, warnings, author)
        return RecordResult(
            tuple(sorter.numbers), tuple(sorter.new), sorter.replaced_before, warnings
        )

    return write(store, work)


def records(store: Store) -> list[Recorded]:
    """Every entry ever written, in the order of its number."""
    return read(store, read_records)


def _book(connection: Connection, store: Store) -> Book:
    loaded = read_state(connection).loaded
    if loaded is None:
        raise UsageError(f"nothing was loaded into {store.shown} yet: hullpace load")
    return book_in_force(connection, loaded)


def _concerned(
    connection: Connection, book: Book, drafts: Sequence[Draft]
) -> tuple[Book, set[str]]:
    """Orders whose entries matter to new ones, and the book without work of others.

    Those are the orders told of, and all that may hold a mold or a place.
    """
    corrected = {one.corrects for one in drafts if one.corrects is not None}
    told = {one.entry.order for one in drafts} | orders_told_of(connection, corrected)
    gone = orders_gone(connection, book) - told
    rows = tuple(row for row in book.in_hand if row.order not in gone)
    orders = {one.order for one in work_orders(book)} - gone
    return replace(book, in_hand=rows), orders | told


class _Sorter:
    """Tells new entries from those that are known, and from what contradicts them."""

    def __init__(self, known: Sequence[Recorded], number: int, author: Author) -> None:
        self._rows: dict[int, Recorded] = {}
        # What a draft is looked up by, so that a file costs no more than its length.
        self._same: dict[tuple[FloorEntry, int | None], int] = {}
        self._alike: dict[Key, list[Recorded]] = {}
        self._replaced: dict[int, Recorded] = {}
        self._next = number
        for row in known:
            self._keep(row)
        self.author = author
        self.origin: dict[FloorEntry, Draft] = {}
        self.numbers: list[int] = []
        self.new: list[Recorded] = []
        self.replaced_before: dict[int, int] = {
            row.corrects: row.number for row in known if row.corrects is not None
        }
        self.faults: list[Fault] = []

    def take_all(self, drafts: Sequence[Draft]) -> None:
        """Take drafts in, each against those before it."""
        for draft in drafts:
            self._take(draft)

    def standing(self) -> list[FloorEntry]:
        """All entries that hold, the new ones included."""
        return standing(self._rows.values())

    def _take(self, draft: Draft) -> None:
        same = self._same.get((draft.entry, draft.corrects))
        if same is not None:
            self.numbers.append(same)
        elif self._is_allowed(draft):
            row = Recorded(self._next, draft.entry, draft.corrects)
            self._keep(row)
            self.origin[draft.entry] = draft
            self.numbers.append(row.number)
            self.new.append(row)
            self._next += 1

    def _keep(self, row: Recorded) -> None:
        self._rows[row.number] = row
        self._same.setdefault((row.entry, row.corrects), row.number)
        self._alike.setdefault(row.entry.key, []).append(row)
        if row.corrects is not None:
            self._replaced[row.corrects] = row

    def _is_allowed(self, draft: Draft) -> bool:
        count = len(self.faults)
        if draft.corrects is None:
            self._look_for_another(draft)
        else:
            self._look_at_corrected(draft, draft.corrects)
        return len(self.faults) == count

    def _look_for_another(self, draft: Draft) -> None:
        if draft.entry.what == WITHDRAW:
            self._fault(draft, "corrects", "nothing", "the entry to be withdrawn")
        for row in self._alike.get(draft.entry.key, ()):
            if row.number not in self._replaced and row.entry.what != WITHDRAW:
                found = f"another entry than number {row.number} ({row.entry.text})"
                expected = f"the same, or a correction of entry {row.number}"
                self._fault(draft, "at", found, expected)

    def _look_at_corrected(self, draft: Draft, number: int) -> None:
        if number not in self._rows:
            self._fault(draft, "corrects", str(number), "the number of an entry")
        elif number in self._replaced:
            by = self._replaced[number]
            who = by.who or self.author.who
            raise Overtaken(
                f"entry {number} was corrected by {who} already, in entry {by.number} "
                f"({by.entry.text}); nothing was recorded"
            )
        elif not self.author.why and not draft.entry.note:
            self._fault(
                draft, "note", "nothing", "why the entry is corrected (or --why)"
            )

    def _fault(self, draft: Draft, column: str, found: str, expected: str) -> None:
        self.faults.append(_fault(draft, column, found, expected))


def _fault(draft: Draft, column: str, found: str, expected: str) -> Fault:
    where = f"{draft.place}, {column}" if draft.place else column
    return Fault(draft.file, where, found, expected)


def _faults(
    connection: Connection, book: Book, known: Sequence[Recorded], sorter: _Sorter
) -> list[Fault]:
    if not sorter.new:
        return []
    faults = _plan_faults(connection, book, sorter)
    if faults:
        return faults
    turns = {row.entry: turn for turn, row in enumerate(sorter.new)}
    found = new_objections(book, standing(known), sorter.standing())
    found.sort(key=lambda one: turns.get(one.entry, -1))
    return list(dict.fromkeys(_told(one, sorter) for one in found))


def _plan_faults(connection: Connection, book: Book, sorter: _Sorter) -> list[Fault]:
    """Entries must be of orders that the published plan has, and not lie ahead."""
    publication = newest(connection)
    if publication is None:
        raise UsageError("no plan was published yet: hullpace publish")
    plan = read_outline(connection, publication.plan)
    loaded = {one.order for one in work_orders(book)}
    latest = _latest(plan, sorter)
    faults = []
    for row in sorter.new:
        draft, entry = sorter.origin[row.entry], row.entry
        if entry.order in loaded - plan.orders:
            found = f"'{entry.order}', which plan {publication.number} does not have"
            expected = "an order of the published plan: plan and publish it first"
            faults.append(_fault(draft, "order", found, expected))
        if entry.at > latest:
            found = f"{entry.at:%Y-%m-%d %H:%M}"
            faults.append(_fault(draft, "at", found, "a time that has passed"))
    return faults


def _latest(plan: Outline, sorter: _Sorter) -> datetime:
    """The latest local time to be believed.

    A plan may be for days to come, as the demo yard's is; so a month of it counts.
    """
    zone = ZoneInfo(plan.time_zone)
    created = sorter.author.at.astimezone(zone).replace(tzinfo=None)
    return max(created, plan.frozen_until.replace(tzinfo=None) + _FURTHEST_AHEAD)


def _told(one: Objection, sorter: _Sorter) -> Fault:
    draft = sorter.origin.get(one.entry)
    if draft is not None:
        return _fault(draft, one.column, one.found, one.expected)
    # An entry written before does not go with the new ones.
    first = sorter.origin[sorter.new[0].entry]
    found = f"{one.found}, with the earlier entry {one.entry.text}"
    return _fault(first, one.column, found, one.expected)


def _warnings(book: Book, sorter: _Sorter) -> dict[int, tuple[str, ...]]:
    """What is kept although a data sheet says otherwise, by number."""
    held = by_step(sorter.standing())
    sheets: dict[str, Sheets] = {}
    told = {}
    for row in sorter.new:
        entry = row.entry
        if entry.order not in sheets:
            sheets[entry.order] = sheets_of(book, entry.order)
        step = held.get((entry.order, entry.operation), ())
        told[row.number] = warnings_of(sheets[entry.order], step, entry)
    return {number: warnings for number, warnings in told.items() if warnings}


def _write(
    connection: Connection,
    new: Sequence[Recorded],
    warnings: Mapping[int, tuple[str, ...]],
    author: Author,
) -> None:
    if not new:
        return
    details: dict[str, object] = {"numbers": [row.number for row in new]}
    if warnings:
        details["warnings"] = {str(number): told for number, told in warnings.items()}
    entry = append(connection, author, "record", details)
    rows = []
    for row in new:
        content = to_text(row.entry)
        rows.append(
            {
                "number": row.number,
                "order_id": row.entry.order,
                "digest": digest(content),
                "content": content,
                "corrects": row.corrects,
                "entry": entry,
            }
        )
    connection.execute(floor_entries.insert(), rows)
