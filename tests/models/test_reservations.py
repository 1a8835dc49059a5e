"""Which reservations keep their slot."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from models.reservations import ACCEPTED, DECLINED, RESERVED, Reservation, kept
from tests.models.tiny import order_of

LAST = date(2027, 3, 5)


def reservation(name: str, what: str = RESERVED) -> Reservation:
    """A reservation that holds until `LAST`."""
    order = replace(order_of(), order=name, promised=LAST, reserved_until=LAST)
    return Reservation(order, what, LAST, 1, "0" * 64)


def test_a_slot_is_kept_through_its_last_day() -> None:
    """On the day after, it is free again."""
    rows = [reservation("R-2"), reservation("R-1")]
    assert [one.order for one in kept(rows, (), LAST)] == ["R-1", "R-2"]
    assert kept(rows, (), date(2027, 3, 6)) == []


def test_an_accepted_one_stays_until_the_files_have_it() -> None:
    """It runs out no more, and is an order as any other."""
    rows = [reservation("R-1"), reservation("R-1", ACCEPTED)]
    (order,) = kept(rows, (), date(2028, 1, 1))
    assert (order.promised, order.reserved_until) == (LAST, None)
    assert kept(rows, ("R-1",), LAST) == []


def test_a_declined_one_is_free_at_once() -> None:
    """Its last day does not matter any more."""
    rows = [reservation("R-1"), reservation("R-2"), reservation("R-1", DECLINED)]
    assert [one.order for one in kept(rows, (), date(2027, 3, 1))] == ["R-2"]
