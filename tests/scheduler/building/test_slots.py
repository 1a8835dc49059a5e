"""Slots of launches and carriers: from the yard to the plan, pins and earlier plans."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, time

import pytest

from models.errors import DataFaults
from models.orders import Book, Lock
from models.yard import Shift, TradeCalendar
from scheduler.building.build import build_problem
from scheduler.compare import compare
from scheduler.plan import Plan
from scheduler.planner import Request, make_plan
from scheduler.searching.search import Budget
from scheduler.waiting_for import Causes
from tests.scheduler.small_book import (
    boat,
    clock,
    small_book,
    small_model,
    small_yard,
    step,
)

TUESDAY = 2


def launches(
    starts_per_slot: int | None = 1, *locks: Lock, at: str = "08:00", hours: float = 2
) -> Book:
    """Three boats, each launched on a Tuesday morning after its rigging."""
    begin = time.fromisoformat(at)
    shift = Shift((TUESDAY,), begin, time(begin.hour + 1))
    tide = TradeCalendar("tide", (shift,), starts_per_slot=starts_per_slot)
    yard = small_yard()
    yard = replace(yard, calendars=(*yard.calendars, tide))
    work = {"duration_hours": hours, "slots": "tide"}
    model = small_model()
    operations = (*model.operations, step("launch", None, "bays", 0, **work))
    waits = (*model.waits, replace(model.waits[0], before="rig", after="launch"))
    models = {"wren": replace(model, operations=operations, waits=waits)}
    orders = tuple(boat(name) for name in ("B1", "B2", "B3"))
    return small_book(yard=yard, models=models, orders=orders, locks=locks)


def planned(book: Book, committed: Plan | None = None) -> Plan:
    """A plan of few decodes."""
    request = Request(Budget(None, 20), workers=1, committed=committed)
    return make_plan(book, request).plan


def starts(plan: Plan) -> list[str]:
    """Local starts of the launches."""
    rows = {one.operation: one for one in plan.answer.operations}
    axis = plan.problem.axis
    return [axis.iso(rows[f"{name}/launch"].start)[:16] for name in ("B1", "B2", "B3")]


def test_boats_take_the_slots_one_each() -> None:
    """Every launch starts on a Tuesday from eight to nine, on Tuesdays of their own."""
    plan = planned(launches())
    days = [datetime.fromisoformat(one) for one in starts(plan)]
    assert {one.isoweekday() for one in days} == {TUESDAY}
    assert {one.hour for one in days} == {8}
    assert len({one.date() for one in days}) == 3
    assert compare(plan.problem, build_problem(launches())) == []


def test_a_launch_that_takes_no_time_waits_for_its_slot_too() -> None:
    """A step of no length is where its slot is."""
    plan = planned(launches(hours=0))
    assert {one[11:13] for one in starts(plan)} == {"08"}


def test_the_reason_names_the_slot() -> None:
    """A boat that had to let another one pass waited for a slot of the tide."""
    plan = planned(launches())
    causes = Causes(plan)
    reasons = [causes.waited_for(f"{name}/launch") for name in ("B1", "B2", "B3")]
    full = [one for one in reasons if one.kind == "slot"]
    assert full
    assert all("a slot of tide" in one.text for one in full), [o.text for o in full]


def test_pins_fill_a_slot() -> None:
    """Two launches pinned to one slot of one are a fault; so is one outside."""
    day = clock("2027-01-05T08:00")
    locks = (Lock("B1", "launch", day, None), Lock("B2", "launch", day, None))
    with pytest.raises(DataFaults, match=r"B2, launch.*its slot of tide is full"):
        build_problem(launches(1, *locks))
    build_problem(launches(2, *locks))
    late = Lock("B1", "launch", day.replace(hour=10), None)
    with pytest.raises(DataFaults, match=r"no slot of tide begins it"):
        build_problem(launches(1, late))


def test_a_slot_that_is_gone_moves_its_boat() -> None:
    """What was planned for eight is planned anew where slots begin at ten."""
    first = planned(launches())
    same = planned(launches(), first)
    assert starts(same) == starts(first)
    moved = planned(launches(at="10:00"), first)
    assert {one[11:13] for one in starts(moved)} == {"10"}


def test_a_slot_that_has_shrunk_keeps_the_first() -> None:
    """Of boats in one slot those stay that it still has room for."""
    first = planned(launches(3))
    assert len(set(starts(first))) < 3
    second = planned(launches(1), first)
    assert len({one[:10] for one in starts(second)}) == 3
    assert set(starts(first)) & set(starts(second))
