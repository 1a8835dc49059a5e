"""What missing items put at stake, by hand on the small plan."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from models.orders import Arrival, Book
from scheduler.shortages import Shortage, missing_items
from tests.models.tiny import tiny_book
from tests.scheduler.small_book import begun
from tests.scheduler.small_plan import small_plan

PLAN = small_plan()


def item(
    operation: str, expected: str, confirmed: str | None = None, arrived: bool = False
) -> Arrival:
    """An item of March 2027."""
    order, _, code = operation.partition("/")
    days = [date.fromisoformat(f"2027-{one}") for one in (expected, confirmed) if one]
    sure = days[1] if len(days) > 1 else None
    return Arrival(order, code, "an item", days[0], sure, days[0] if arrived else None)


def book(*items: Arrival) -> Book:
    """A book of which only the items matter here."""
    return replace(tiny_book(), arrivals=items, in_hand=())


def weighed(*items: Arrival) -> Shortage:
    """The one shortage that there must be."""
    (found,) = missing_items(PLAN, book(*items)).shortages
    return found


@pytest.mark.parametrize(
    ("comes", "late", "left"),
    [
        ("03-17", 0, 1),  # a day before the plan begins the step
        ("03-18", 0, 0),  # on the day: the cure before it ends at 08:00 as well
        ("03-19", 1, 0),
        ("03-22", 2, 0),  # Friday and Monday
    ],
)
def test_without_float_the_boat_is_late(comes: str, late: int, left: int) -> None:
    """The rigging of the late boat has no float: every working day counts."""
    found = weighed(item("B101/final.rig", comes))
    assert (found.late_days, found.float_days, found.float_left) == (late, 0, left)
    assert found.needed == date(2027, 3, 18)


def test_float_is_eaten_first() -> None:
    """The deck's cure ends Monday 15th, its item comes Wednesday, the stand is free.

    Taking it out may wait until Tuesday 23rd, so two of six days of float are gone.
    """
    found = weighed(item("B102/deck.demold", "03-15", confirmed="03-17"))
    assert (found.late_days, found.float_days, found.float_left) == (0, 2, 4)
    assert found.comes == date(2027, 3, 17)


def test_an_item_in_time_holds_nothing() -> None:
    """The deck could begin on the 15th; something else has it on the 17th."""
    found = weighed(item("B102/deck.demold", "03-16"))
    assert (found.at_stake, found.float_left) == (0, 5)


def test_a_boat_that_is_in_time_has_no_late_days() -> None:
    """B102 is wanted on the 30th and finished on the 29th: a day later is no harm."""
    found = weighed(item("B102/final.rig", "03-26"))
    assert (found.late_days, found.float_days) == (0, 1)
    assert weighed(item("B102/final.rig", "03-29")).late_days == 1


def test_an_overdue_item_is_taken_to_come_now() -> None:
    """A date that has passed is told and does not count as being here."""
    found = weighed(item("B101/final.rig", "03-01"))
    assert found.overdue
    assert found.at_stake == 0
    assert not weighed(item("B101/final.rig", "03-08")).overdue


def test_what_is_not_missing() -> None:
    """Items that are here, or whose step has begun or is done, are not listed."""
    items = (
        item("B101/final.rig", "03-18", arrived=True),
        item("B101/deck.prep", "03-18"),
    )
    assert missing_items(PLAN, book(*items)).shortages == ()
    started = begun("B101", "final.rig", "2027-03-18T08:00", 4)
    plain = book(item("B101/final.rig", "03-22"))
    assert missing_items(PLAN, replace(plain, in_hand=(started,))).shortages == ()


def test_most_at_stake_comes_first() -> None:
    """Late days before float, float before nothing, and then the least room left."""
    items = (
        item("B102/final.rig", "03-24"),
        item("B102/deck.demold", "03-17"),
        item("B101/final.rig", "03-19"),
        item("B103/final.rig", "03-19"),
    )
    found = missing_items(PLAN, book(*items))
    assert [(one.order, one.operation) for one in found.shortages] == [
        ("B101", "final.rig"),
        ("B102", "deck.demold"),
        ("B102", "final.rig"),
    ]
    assert found.unplanned == ("B103",)
