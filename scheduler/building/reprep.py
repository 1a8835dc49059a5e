"""Re-preparations that the facts of the floor ask for."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import replace

from models.orders import Book
from models.reprep import with_reprep
from scheduler.problem import Wait


def surely_missed(wait: Wait, begun: Collection[str], tick_minutes: int) -> Wait:
    """A wait with a re-preparation that is still to come, beyond its maximum.

    Overtime might let the later step begin in time after all, and then nobody should
    have made the surface ready. What has begun stands.
    """
    if wait.reprep is None or wait.max_minutes is None:
        return wait
    if wait.reprep in begun or wait.after in begun:
        return wait
    beyond = (wait.max_minutes // tick_minutes + 1) * tick_minutes
    return replace(wait, min_minutes=max(wait.min_minutes, beyond))


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
