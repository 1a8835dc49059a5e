"""Days of need: the planned start of the step that uses a material."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from models.errors import UsageError
from models.materials import Material, MaterialUse, PerUnit
from models.orders import Book
from scheduler.needs import by_week, needs
from tests.scheduler.small_book import begun, boat, done, small_book, small_model, step
from tests.scheduler.small_plan import small_plan

PLAN = small_plan()
USES = (
    MaterialUse("hull.laminate", "resin", PerUnit(4, "kg"), "hull_area_m2"),
    MaterialUse("final.rig", "engine", PerUnit(1, "each")),
)


def book() -> Book:
    """The orders of the small plan, with two of their steps."""
    steps = (
        step("hull.laminate", "laminate", "floor", 6),
        step("final.rig", "rig", "bays", 28),
    )
    model = small_model(id="tern-23", operations=steps, waits=(), uses=USES)
    plain = small_book()
    materials = (
        Material("resin", "Resin", "resin", "kg"),
        Material("engine", "Outboard", "engine", "each", 56),
    )
    return replace(
        plain,
        yard=replace(plain.yard, materials=materials),
        models={"tern-23": model},
        orders=(boat("B101", model="tern-23"), boat("B102", model="tern-23")),
    )


def test_needed_when_the_step_begins() -> None:
    """The local day of the planned start, in the order of book and routing."""
    rows = needs(book(), book().orders, PLAN)
    told = [(one.line.order, one.line.material.id, one.needed) for one in rows]
    assert told == [
        ("B101", "resin", date(2027, 3, 12)),
        ("B101", "engine", date(2027, 3, 18)),
        ("B102", "resin", date(2027, 3, 17)),
        ("B102", "engine", date(2027, 3, 25)),
    ]


def test_order_by_lies_the_lead_time_before() -> None:
    """56 calendar days before the need; unknown without a lead time or a plan."""
    rows = needs(book(), book().orders, PLAN)
    assert rows[1].order_by == date(2027, 1, 21)
    assert rows[0].order_by is None
    assert all(one.order_by is None for one in needs(book(), book().orders, None))


def test_what_is_done_or_begun_needs_nothing_more() -> None:
    """Material of a step that has begun is in the boat or handed out."""
    in_hand = (
        done("B101", "hull.laminate", "2027-03-05T06:00", "2027-03-05T09:00"),
        begun("B102", "final.rig", "2027-03-05T07:00", 3),
    )
    rows = needs(replace(book(), in_hand=in_hand), book().orders, PLAN)
    assert [one.state for one in rows] == ["done", "to come", "to come", "started"]
    assert [one.to_come for one in rows] == [False, True, True, False]
    assert rows[3].order_by is None
    weeks = by_week(rows)
    assert weeks == {
        "resin": {date(2027, 3, 15): 80.0},
        "engine": {date(2027, 3, 15): 1.0},
    }


def test_weeks_add_up() -> None:
    """Boats of the same week come together; an order outside the plan has no week."""
    more = replace(book(), orders=(*book().orders, boat("B103", model="tern-23")))
    rows = needs(more, more.orders, PLAN)
    assert [one.needed for one in rows[4:]] == [None, None]
    assert by_week(rows)["resin"] == {date(2027, 3, 8): 80, date(2027, 3, 15): 80}
    assert by_week(rows)["engine"] == {date(2027, 3, 15): 1, date(2027, 3, 22): 1}


def test_a_plan_of_other_data_is_refused() -> None:
    """A step that the plan's order does not have means that the data have changed."""
    model = book().models["tern-23"]
    steps = (*model.operations, step("final.top", "rig", "bays", 4))
    use = MaterialUse("final.top", "resin", PerUnit(1, "kg"))
    other = replace(model, operations=steps, uses=(use,))
    stale = replace(book(), models={"tern-23": other})
    with pytest.raises(UsageError, match=r"does not hold B101/final\.top"):
        needs(stale, stale.orders, PLAN)
