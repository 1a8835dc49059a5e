"""Only boats that may still hold something are looked at, and nothing is missed."""

from __future__ import annotations

from datetime import timedelta

from hypothesis import given
from hypothesis import strategies as st

from models.recording.checks import new_objections, objections
from models.recording.entries import FINISH, START, FloorEntry
from models.recording.in_the_yard import orders_in_the_yard
from models.routing import route
from tests.models.recording.conftest import little_book, said

FIRST = said("B-1", "hull.laminate", "finish", "1 08:15")


def whole_life(order: str, days: int) -> list[FloorEntry]:
    """Start and end of every step of a boat, one a day, in the only mold."""
    book = little_book()
    (boat,) = (one for one in book.orders if one.order == order)
    steps = route(book.models[boat.model], boat).operations
    out = []
    for day, step in enumerate(steps, days):
        at = FIRST.at + timedelta(days=day)
        later = at + timedelta(hours=2)
        mold = "H16-1" if step.code == "hull.prep" else None
        out.append(FloorEntry(order, step.code, START, at, mold=mold))
        out.append(FloorEntry(order, step.code, FINISH, later))
    return out


def test_a_boat_that_has_left_is_not_looked_at() -> None:
    """B-1 is in its mold by the files until the floor has said all the rest."""
    rest = [
        one for one in whole_life("B-1", 1) if one.operation not in
        {row.operation for row in little_book().in_hand}
    ]  # fmt: skip
    assert orders_in_the_yard(little_book(), []) == {"B-1"}
    assert orders_in_the_yard(little_book(), [FIRST, *rest]) == set()


GONE = [FIRST, *whole_life("B-1", 1)]
LIVES = [*GONE, *whole_life("B-2", 3)]


@given(
    st.booleans(),
    st.sets(st.sampled_from(LIVES)),
    st.sets(st.sampled_from(LIVES), min_size=1),
)
def test_nothing_is_missed(
    gone: bool, before: set[FloorEntry], more: set[FloorEntry]
) -> None:
    """What is found is the same as if every boat were looked at."""
    before = before | (set(GONE) if gone else set())
    held, now = (
        sorted(some, key=lambda one: (one.at, one.order, one.what))
        for some in (before, before | more)
    )
    book = little_book()
    known = set(objections(book, held))
    every = [one for one in objections(book, now) if one not in known]
    assert new_objections(book, held, now) == every
