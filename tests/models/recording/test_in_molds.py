"""Which parts are in a mold."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import pytest

from models.loading import load_book
from models.orders import Book, InHand
from models.recording.entries import FINISH, REWORK, START, FloorEntry
from models.recording.in_molds import InMold, parts_in_molds
from tests.models.store.conftest import BASE

PREP = datetime.fromisoformat("2027-02-25T06:00")
GEL = datetime.fromisoformat("2027-02-26T06:00")


def book(*done: str) -> Book:
    """The little yard, with steps of the hull of B-1 done one after the other."""
    rows = [
        InHand("B-1", code, "done", at, at.replace(hour=8), None, mold, None, ())
        for code, at, mold in (
            ("hull.prep", PREP, "H16-1"),
            ("hull.gel_coat", GEL, None),
            ("hull.demold", datetime.fromisoformat("2027-03-04T06:00"), None),
        )
        if code in done
    ]
    return replace(load_book(BASE), in_hand=tuple(rows))


def entry(operation: str, what: str, day: int) -> FloorEntry:
    """Something of B-1 on a day in March."""
    hours = 2.0 if what == REWORK else None
    return FloorEntry(
        "B-1", operation, what, datetime.fromisoformat(f"2027-03-0{day}T06:00"), hours
    )


IN_IT = InMold("B-1", "Hull", "H16-1", GEL, "hull.demold")


@pytest.mark.parametrize(
    ("done", "found"),
    [
        ((), []),
        (("hull.prep",), []),
        (("hull.prep", "hull.gel_coat"), [IN_IT]),
        (("hull.prep", "hull.gel_coat", "hull.demold"), []),
    ],
)
def test_from_the_first_layer_to_demolding(
    done: tuple[str, ...], found: list[InMold]
) -> None:
    """A mold that was only prepared is empty, and so is one that a part has left."""
    assert parts_in_molds(book(*done), [], {"B-1", "B-2"}) == found


def test_what_the_floor_says_counts() -> None:
    """Begun and finished there as in the files; opened again, it is in the mold."""
    begun = [entry("hull.prep", START, 1), entry("hull.laminate", START, 2)]
    (one,) = parts_in_molds(book(), begun, {"B-1"})
    assert (one.mold, one.since) == (None, datetime.fromisoformat("2027-03-02T06:00"))
    demold = [entry("hull.demold", START, 5), entry("hull.demold", FINISH, 6)]
    assert parts_in_molds(book(), [*begun, *demold], {"B-1"}) == []
    again = [*begun, *demold, entry("hull.demold", REWORK, 7)]
    assert parts_in_molds(book(), again, {"B-1"}) == [one]


def test_only_boats_that_are_asked_for() -> None:
    """Others may be in their molds."""
    done = book("hull.prep", "hull.gel_coat")
    assert parts_in_molds(done, [], {"B-2"}) == []
