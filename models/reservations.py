"""Slots that are kept for a quote until it runs out, is accepted or declined.

A reservation is an order that no file has yet, with the date that was quoted as its
promise. Plans take it as any other order until the last day of the quote, local to the
yard; once accepted, until the files have the order themselves; once declined, no more.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace
from datetime import date

from models.orders import Order

RESERVED, ACCEPTED, DECLINED = "reserved", "accepted", "declined"


@dataclass(frozen=True, slots=True)
class Reservation:
    """What was reserved, accepted or declined; `plan` is the one that has the slot.

    `publication` is the published plan beside which it was quoted, `plan` the SHA-256
    of that plan with the new boat in it.
    """

    order: Order  # promised: the date quoted; reserved_until: the last day of the quote
    what: str  # reserved | accepted | declined
    finish: date
    publication: int
    plan: str

    @property
    def until(self) -> date:
        """The last day on which it holds."""
        assert self.order.reserved_until is not None
        return self.order.reserved_until


def kept(
    rows: Iterable[Reservation], loaded: Collection[str], today: date
) -> list[Order]:
    """Orders that reservations keep on a day, in the order of their names.

    Parameters
    ----------
    rows : iterable of Reservation
        Oldest first.
    loaded : collection of str
        Orders that were ever loaded from files; those need no reservation any more.
    today : date
        Local to the yard.
    """
    newest = {row.order.order: row for row in rows}
    return [
        replace(row.order, reserved_until=None) if row.what == ACCEPTED else row.order
        for name, row in sorted(newest.items())
        if name not in loaded and _holds(row, today)
    ]


def _holds(row: Reservation, today: date) -> bool:
    return row.what == ACCEPTED or (row.what == RESERVED and today <= row.until)
