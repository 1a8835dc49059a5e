"""Which parts are in a mold now, by the files and by what the floor recorded."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from models.boat import Part
from models.orders import Book, InHand, Order
from models.recording.entries import FloorEntry
from models.recording.facts import DONE, in_hand_rows
from models.routing import route


@dataclass(frozen=True, slots=True)
class InMold:
    """A part that was begun in a mold and is not demolded; `since` is local time."""

    order: str
    part: str
    mold: str | None  # None where nobody said which
    since: datetime
    leaves_by: str  # the step that takes it out


def parts_in_molds(
    book: Book, entries: Sequence[FloorEntry], orders: Collection[str]
) -> list[InMold]:
    """List the parts of some boats that are in molds.

    A mold that was only prepared is empty.

    Parameters
    ----------
    book : Book
        With the work in hand of its files.
    entries : sequence of FloorEntry
        All that hold.
    orders : collection of str
        Boats to look at.
    """
    own = [one for one in entries if one.order in orders]
    rows = {(row.order, row.operation): row for row in in_hand_rows(book, own)}
    return [
        found
        for order in book.orders
        if order.order in orders
        for found in _of_boat(book, order, rows)
    ]


def _of_boat(
    book: Book, order: Order, rows: Mapping[tuple[str, str], InHand]
) -> Iterator[InMold]:
    model = book.models[order.model]
    steps = route(model, order).operations
    for part in model.parts:
        if part.mold_from is None or part.mold_to is None:
            continue
        begun = {
            one.code: rows[order.order, one.code]
            for one in steps
            if part.id in one.step.parts and (order.order, one.code) in rows
        }
        last = begun.get(part.mold_to)
        inside = [row for code, row in begun.items() if code != part.mold_from]
        if inside and (last is None or last.state != DONE):
            yield _found(order.order, part, part.mold_to, begun, inside)


def _found(
    order: str,
    part: Part,
    leaves_by: str,
    begun: Mapping[str, InHand],
    inside: Sequence[InHand],
) -> InMold:
    molds = [row.mold for row in begun.values() if row.mold is not None]
    since = min(row.started for row in inside)
    return InMold(order, part.name, molds[0] if molds else None, since, leaves_by)
