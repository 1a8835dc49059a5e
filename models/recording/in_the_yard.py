"""Which boats may have a part in a mold or a place: quick, and on the safe side."""

from __future__ import annotations

from collections.abc import Sequence

from models.boat import BoatModel
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
            (order, step, what) in said and (order, step, REWORK) not in said
            for step, what in ends_of(model)
        )
    }


def ends_of(model: BoatModel) -> set[tuple[str, str]]:
    """The step, and what is said of it, when each part leaves its mold or place."""
    return {
        (step, START if end == "start" else FINISH)
        for part in model.parts
        for step, end in ((part.mold_to, "end"), (part.place_to, part.place_to_of))
        if step is not None
    }
