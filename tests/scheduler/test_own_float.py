"""How late steps may begin without moving their boat, by hand on the small plan."""

from __future__ import annotations

import pytest

from scheduler.own_float import OwnFloat
from scheduler.plan_clock import PlanClock
from tests.scheduler.small_plan import small_plan
from tests.scheduler.small_yard import at

PLAN = small_plan()


@pytest.mark.parametrize(
    ("operation", "latest"),
    [
        # Nothing follows but the finish, or a cure that ends when the next begins.
        ("B101/final.inspect", "03-23 12:00"),
        ("B101/final.rig", "03-18 08:00"),
        ("B101/final.join", "03-17 06:00"),
        # 1.5 h before the join at 06:00: the evening before, to the end of the shift.
        ("B101/hull.demold", "03-16 13:00"),
        # 62.5 h before that demold is a Saturday, so the Friday shift must do.
        ("B101/hull.laminate", "03-12 11:30"),
        # 12 h before: the day before, to the end of the shift.
        ("B101/hull.skin", "03-11 11:30"),
        # 3 h before the skin, and 2 h of its own.
        ("B101/hull.gel_coat", "03-11 06:30"),
        # Half of it before the weekend, the rest before the gel coat at 06:30.
        ("B102/deck.prep", "03-19 13:30"),
        # Done and begun work stays where it is.
        ("B101/hull.prep", "03-05 10:00"),
        ("B101/deck.prep", "03-05 13:00"),
    ],
)
def test_latest_starts(operation: str, latest: str) -> None:
    """A step may begin so late that waits, calendars and the finish still hold."""
    own = OwnFloat(PLAN, PlanClock(PLAN.problem), operation.partition("/")[0])
    assert own.latest_start(operation) == at(latest)


@pytest.mark.parametrize("order", ["B101", "B102"])
def test_nothing_begins_before_its_plan(order: str) -> None:
    """Float is never negative, and the boat's last work has none."""
    own = OwnFloat(PLAN, PlanClock(PLAN.problem), order)
    rows = [one for one in PLAN.answer.operations if one.operation.startswith(order)]
    assert all(own.latest_start(one.operation) >= one.start for one in rows)
    last = max(rows, key=lambda one: one.finish)
    assert own.finish == last.finish
    assert own.latest_start(last.operation) == last.start
