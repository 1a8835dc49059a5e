"""Re-preparation: the step that makes a surface fit to bond again.

A wait with a maximum may name it. A boat has the step only where facts have broken that
maximum, or where it has been begun; then it comes between the two steps of the wait,
and the maximum does not count any more.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from models.boat import BoatModel, RoutingWait

if TYPE_CHECKING:
    from models.orders import Book


def reprep_codes(model: BoatModel) -> frozenset[str]:
    """The steps of a model that are re-preparations."""
    return frozenset(one.reprep for one in model.waits if one.reprep is not None)


def kept_maximum_hours(wait: RoutingWait) -> float | None:
    """The most that a wait of an order's own routing may last.

    None if there is no maximum, or a re-preparation stands for it.
    """
    return None if wait.reprep is not None else wait.max_hours


def reprep_waits(waits: Iterable[RoutingWait], codes: set[str]) -> list[RoutingWait]:
    """The waits of an order's own routing, with those around its re-preparations.

    A re-preparation that this boat does not have is taken off its wait.
    """
    out: list[RoutingWait] = []
    for wait in waits:
        if wait.reprep is None:
            out.append(wait)
        elif wait.reprep not in codes:
            out.append(replace(wait, reprep=None))
        else:
            out.append(wait)
            out.append(RoutingWait("sequence", wait.before, wait.reprep))
            out.append(RoutingWait("sequence", wait.reprep, wait.after))
    return out


def with_reprep(book: Book, steps: Mapping[str, Iterable[str]]) -> Book:
    """The book with re-preparations on some boats.

    Parameters
    ----------
    book : Book
        The order book.
    steps : mapping
        Codes by order; those that are no re-preparation of its model are left out.
    """
    known = {name: reprep_codes(model) for name, model in book.models.items()}
    orders = []
    for order in book.orders:
        asked = known[order.model].intersection(steps.get(order.order, ()))
        codes = tuple(sorted({*order.reprep, *asked}))
        orders.append(replace(order, reprep=codes))
    return replace(book, orders=tuple(orders))


def with_begun_reprep(book: Book, steps: Iterable[tuple[str, str]]) -> Book:
    """The book with the re-preparations among some (order, step) that were begun."""
    begun: dict[str, set[str]] = {}
    for order, step in steps:
        begun.setdefault(order, set()).add(step)
    return with_reprep(book, begun)
