"""Re-preparations that the facts of the floor ask for."""

from __future__ import annotations

from collections.abc import Iterable

from models.orders import Book
from models.reprep import with_reprep
from scheduler.problem import Wait


def with_needed_reprep(book: Book, lost: Iterable[Wait]) -> Book:
    """The book with the re-preparation of each lost wait that has one.

    The same book where none has, or each is there already.
    """
    models = {one.order: book.models[one.model] for one in book.orders}
    needed: dict[str, set[str]] = {}
    for wait in lost:
        order, _, before = wait.before.partition("/")
        after = wait.after.partition("/")[2]
        for one in models[order].waits:
            if one.reprep is not None and (one.before, one.after) == (before, after):
                needed.setdefault(order, set()).add(one.reprep)
    return with_reprep(book, needed)
