"""Every boat that was ever in the book, as far as its standard is still known."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from models.learning import boat_numbers
from models.orders import Book, InHand, Order

Step = tuple[str, str]  # order and operation code


@dataclass(frozen=True, slots=True)
class Past:
    """A book with all boats that were ever in it, each as it was loaded last.

    `numbers` are those of boats within their model, where that makes a difference;
    `left_out` the boats for which the yard has no standard any more.
    """

    book: Book
    numbers: Mapping[str, int]
    left_out: tuple[str, ...]


def past_of(book: Book, gone: Sequence[Order], in_hand: Sequence[InHand]) -> Past:
    """The book, and boats that have left it (`gone`, with their work in hand).

    Left out are boats whose model, options or graphics the yard has no more, and, of a
    model with a learning curve, those that have left: nobody knows their number.
    """
    known = [one for one in gone if _has_standard(book, one)]
    return Past(
        replace(
            book,
            orders=(*book.orders, *known),
            in_hand=(*book.in_hand, *in_hand),
        ),
        boat_numbers(book.models, book.orders),
        tuple(one.order for one in gone if one not in known),
    )


def _has_standard(book: Book, order: Order) -> bool:
    model = book.models.get(order.model)
    if model is None or model.learning is not None:
        return False
    if not set(order.options) <= {one.id for one in model.options}:
        return False
    return order.graphics in (None, *(one.id for one in model.graphics))
