"""Rework in a routing."""

from __future__ import annotations

from dataclasses import replace

import pytest

from models.boat import RoutingWait
from models.hours import operation_hours
from models.names import names_of
from models.orders import Rework
from models.rework import added_step, rework_code
from models.routing import route
from tests.models.tiny import order_of, skiff, tiny_book, tiny_yard

AGAIN = Rework("hull.laminate.rework1", "Soft", "hull.laminate", "hull.laminate", 6.0)
TWICE = Rework(
    "hull.laminate.rework2", "Soft", "hull.laminate.rework1", "hull.laminate", 2.0
)


def waits_between(*rework: Rework) -> dict[tuple[str, str], RoutingWait]:
    """Waits of an order with rework, by their ends."""
    routing = route(skiff(), replace(order_of(), rework=rework))
    return {(one.before, one.after): one for one in routing.waits}


def test_codes_count_on() -> None:
    """The rework of a rework has the next number."""
    assert rework_code("hull.laminate") == "hull.laminate.rework1"
    assert rework_code("hull.laminate.rework9") == "hull.laminate.rework10"
    assert added_step("hull.laminate.rework2") == ("hull.laminate", "rework", 2)
    assert added_step("hull.laminate.change1") == ("hull.laminate", "change", 1)
    assert added_step("hull.laminate") is None
    assert rework_code("final.rig.change1") == "final.rig.change1.rework1"


@pytest.mark.parametrize(
    ("rework", "last"), [((AGAIN,), AGAIN.code), ((AGAIN, TWICE), TWICE.code)]
)
def test_what_waited_for_the_step_waits_for_the_rework(
    rework: tuple[Rework, ...], last: str
) -> None:
    """The cure begins anew, in full, and nothing goes around the rework."""
    waits = waits_between(*rework)
    cure = waits[last, "hull.demold"]
    assert (cure.kind, cure.min_hours, cure.data_sheet_min_hours) == ("cure", 48, 48)
    assert ("hull.laminate", "hull.demold") not in waits
    assert waits["hull.laminate", AGAIN.code].kind == "sequence"
    assert waits["hull.gel_coat", "hull.laminate"].max_hours == 96


def test_the_step_is_done_as_the_one_before() -> None:
    """Parts, station, skill, crew and rules are the same, the hours its own."""
    order = replace(order_of(), rework=(AGAIN,))
    steps = {one.code: one.step for one in route(skiff(), order).operations}
    again, first = steps[AGAIN.code], steps["hull.laminate"]
    same = ("parts", "station", "skill", "crew_min", "crew_max", "one_go", "caution")
    assert all(getattr(again, name) == getattr(first, name) for name in same)
    assert operation_hours(skiff(), order, tiny_yard())[AGAIN.code] == 6.0


def test_another_trade() -> None:
    """Removal is done where and by whom its data say."""
    off = Rework(
        "removal.hard-top", "Take it off", "final.rig", "final.rig", 4.0, "bays", "rig",
        1, 2,
    )  # fmt: skip
    routing = route(skiff(), replace(order_of(), rework=(off,)))
    (step,) = (one.step for one in routing.operations if one.code == off.code)
    assert (step.station, step.skill, step.crew_max, step.one_go) == (
        "bays", "rig", 2, False,
    )  # fmt: skip


def test_rework_of_a_step_that_is_not_there() -> None:
    """It is left out."""
    stray = replace(AGAIN, after="hull.color1.spray")
    assert route(skiff(), replace(order_of(), rework=(stray,))) == route(
        skiff(), order_of()
    )


def test_its_name() -> None:
    """It is called after the step, and has the step's caution."""
    names = names_of(tiny_book())
    assert names.operation("skiff-16", AGAIN.code) == "Laminate, rework 1"
    assert names.caution("skiff-16", AGAIN.code) == "lay_up"
    assert names.knows("skiff-16", AGAIN.code)


def test_work_of_a_change_leaves_every_wait() -> None:
    """A cure counts from both, a maximum only from the step that laid the resin."""
    change = Rework(
        "hull.gel_coat.change1", "Change", "hull.gel_coat", "hull.gel_coat", 2.0,
        keeps_waits=True,
    )  # fmt: skip
    waits = waits_between(change)
    assert waits["hull.gel_coat", "hull.laminate"].max_hours == 96
    copy = waits[change.code, "hull.laminate"]
    assert (copy.min_hours, copy.max_hours) == (3, None)
    assert waits["hull.gel_coat", change.code].kind == "sequence"


def test_rework_of_a_rework_may_be_named_first() -> None:
    """What an order was loaded with does not know yet what gates ask for."""
    assert waits_between(TWICE, AGAIN) == waits_between(AGAIN, TWICE)
