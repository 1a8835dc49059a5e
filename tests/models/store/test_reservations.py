"""Slots that are reserved, run out, and are accepted."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from models.errors import Overtaken, UsageError
from models.orders import Book
from models.store.documents import to_book
from models.store.loads import load
from models.store.log import Author, entries
from models.store.plans import publish
from models.store.reservations import (
    accept,
    decline,
    quoted_beside,
    reserve,
    seen_now,
    with_reservations,
)
from models.store.soundness import faults
from models.store.transactions import Store, read
from tests.models.store.conftest import (
    ANN,
    BEN,
    NOON,
    little_yard,
    plan_of,
    reserved,
    rows,
    with_order,
)

LATER = datetime(2026, 12, 11, 12, tzinfo=UTC)


def book_at(store: Store, at: datetime) -> Book:
    """The book with what is reserved at an instant."""
    return read(store, lambda c: with_reservations(c, to_book(little_yard()), at))


def names_at(store: Store, at: datetime) -> list[str]:
    """Its orders."""
    return [one.order for one in book_at(store, at).orders]


def test_a_reservation_is_an_order_until_it_runs_out(published: Store) -> None:
    """It is in the book to its last day, local to the yard, and no longer."""
    assert reserved(published, "R-1") == 1
    assert names_at(published, NOON) == ["B-1", "B-2", "R-1"]
    midnight = datetime(2026, 12, 11, 4, 59, tzinfo=UTC)  # 23:59 at the yard
    assert names_at(published, midnight) == ["B-1", "B-2", "R-1"]
    assert names_at(published, LATER) == ["B-1", "B-2"]


def test_a_quote_that_something_overtook_is_not_reserved(published: Store) -> None:
    """Another slot, plan or load since the quote: quote again."""
    seen = read(published, seen_now)
    reserved(published, "R-1")
    order = book_at(published, NOON).orders[-1]
    when = NOON.date()
    with pytest.raises(Overtaken, match="another slot was sold"):
        reserve(published, order, when, plan_of(little_yard(), "x"), seen, BEN)
    seen = read(published, seen_now)
    load(published, with_order(little_yard(), "B-9"), BEN, None)
    with pytest.raises(Overtaken, match="files were loaded"):
        reserve(published, order, when, plan_of(little_yard(), "x"), seen, BEN)


def test_a_name_is_used_once(published: Store) -> None:
    """Neither an order's name nor that of a reservation is given again."""
    reserved(published, "R-1")
    for name in ("R-1", "B-1"):
        with pytest.raises(UsageError, match="is there already"):
            reserved(published, name)
    with pytest.raises(UsageError, match="that day is over"):
        reserved(published, "R-2", until="2026-11-29")


def test_accepted_in_time_it_stays(published: Store) -> None:
    """Accepting twice changes nothing; after the last day it is refused."""
    reserved(published, "R-1")
    reserved(published, "R-2")
    assert accept(published, "R-1", BEN)[1]
    assert not accept(published, "R-1", ANN)[1]
    assert names_at(published, LATER) == ["B-1", "B-2", "R-1"]
    late = Author("ben", LATER)
    with pytest.raises(Overtaken, match="R-2 ran out on 2026-12-10: quote again"):
        accept(published, "R-2", late)
    with pytest.raises(UsageError, match="no reservation 'R-3'"):
        accept(published, "R-3", BEN)


def test_no_plan_without_it_is_published(published: Store) -> None:
    """A plan must hold every slot that is kept; one that ran out does no harm."""
    reserved(published, "R-1")
    old = plan_of(little_yard(), "old")
    with pytest.raises(Overtaken, match="reservation R-1"):
        publish(published, old, BEN, 1)
    new = {**old, "inputs": book_at(published, NOON).sources}
    accept(published, "R-1", BEN)
    assert publish(published, new, BEN, 1).done
    reserved(published, "R-2")
    late = Author("ben", LATER)
    two = {**plan_of(little_yard(), "two"), "inputs": book_at(published, NOON).sources}
    assert publish(published, two, late, 2).done


def test_the_next_quote_rests_on_the_newest_slot(published: Store) -> None:
    """Until another plan is published, which holds it itself."""
    assert read(published, lambda c: quoted_beside(c, 1)) is None
    reserved(published, "R-1")
    first = read(published, lambda c: quoted_beside(c, 1))
    reserved(published, "R-2")
    assert read(published, lambda c: quoted_beside(c, 1)) not in (None, first)
    assert read(published, lambda c: quoted_beside(c, 2)) is None


def test_a_declined_quote_gives_its_slot_back(published: Store) -> None:
    """At once, and the log says who, when and why; others keep theirs."""
    reserved(published, "R-1")
    reserved(published, "R-2")
    why = Author("ben", NOON, "bought elsewhere")
    assert decline(published, "R-1", why).order.order == "R-1"
    assert names_at(published, NOON) == ["B-1", "B-2", "R-2"]
    last = read(published, entries)[-1]
    assert (last.who, last.at, last.why) == ("ben", NOON, "bought elsewhere")
    assert (last.details["order"], last.details["what"]) == ("R-1", "declined")
    plan = {**plan_of(little_yard(), "x"), "inputs": book_at(published, NOON).sources}
    assert publish(published, plan, BEN, 1).done
    assert faults(published) == []


def test_what_cannot_be_declined(published: Store) -> None:
    """One line for a slot that is unknown, run out, given back, sold or an order."""
    for name in ("R-1", "R-2", "R-3", "R-4"):
        reserved(published, name)
    accept(published, "R-1", BEN)
    decline(published, "R-2", BEN)
    load(published, with_order(little_yard(), "R-4"), BEN, None)
    late = Author("ben", LATER)
    for name, author, kind, told in (
        ("R-9", BEN, UsageError, "no reservation 'R-9'"),
        ("R-1", BEN, Overtaken, "R-1 was accepted and is an order"),
        ("R-2", BEN, Overtaken, "the quote of R-2 was declined before"),
        ("R-3", late, Overtaken, "R-3 ran out on 2026-12-10: its slot is free already"),
        ("R-4", BEN, Overtaken, "R-4 was accepted and is an order"),
    ):
        before = rows(published)
        with pytest.raises(kind, match=told):
            decline(published, name, author)
        assert rows(published) == before
    with pytest.raises(Overtaken, match="R-2 was declined: quote again"):
        accept(published, "R-2", BEN)


def test_a_quote_beside_a_declined_slot_starts_anew(published: Store) -> None:
    """Whoever quoted while the slot was taken is told to quote again."""
    reserved(published, "R-1")
    seen = read(published, seen_now)
    order = book_at(published, NOON).orders[-1]
    decline(published, "R-1", ANN)
    plan = plan_of(little_yard(), "x")
    with pytest.raises(Overtaken, match="sold or given back"):
        reserve(published, order, NOON.date(), plan, seen, BEN)
