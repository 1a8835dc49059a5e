"""Which boats may have a part in a mold or a place: quick, and on the safe side."""

from __future__ import annotations

from collections.abc import Sequence, Set

from models.job_orders import work_models
from models.orders import Book
from models.recording.entries import FINISH, REWORK, START, FloorEntry


def orders_in_the_yard(book: Book, entries: Sequence[FloorEntry]) -> set[str]:
    """Orders whose parts have not all left their molds and places for certain.

    Parameters
    ----------
    book : Book
        With the work in hand of its files.
    entries : sequence of FloorEntry
        All that hold.

    Returns
    -------
    set of str
        A boat that has left may be among them; one that is there is never missing.
    """
    floor = {(one.order, one.operation, one.what) for one in entries}
    said = floor | {
        (row.order, row.operation, what)
        for row in book.in_hand
        for what, at in ((START, row.started), (FINISH, row.finished))
        if at is not None and (row.order, row.operation, START) not in floor
    }
    begun = {order for order, _, _ in said}
    return {
        order
        for order, model in work_models(book).items()
        if order in begun
        and not all(
            _has_ended(said, order, last, end)
            for part in model.parts
            for last, end in (
                (part.mold_to, "end"),
                (part.place_to, part.place_to_of),
            )
            if last is not None
        )
    }


def _has_ended(
    said: Set[tuple[str, str, str]], order: str, operation: str, end: str
) -> bool:
    what = START if end == "start" else FINISH
    return (order, operation, what) in said and (order, operation, REWORK) not in said
