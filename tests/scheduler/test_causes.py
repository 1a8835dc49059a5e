"""Why work moves: one small yard, planned, changed, planned again around the plan."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime
from functools import cache

import pytest

from models.orders import Book
from models.yard import Outage
from scheduler.cause_report import cause_lines, cause_objects
from scheduler.causes import ROOM, TURN, Cause, causes_of, grouped
from scheduler.difference import difference
from scheduler.plan import Plan
from scheduler.planner import Request, make_plan
from scheduler.searching.search import Budget
from tests.models.tiny import tiny_book


def request(committed: Plan | None = None, *, rearrange: bool = False) -> Request:
    """A small budget of work."""
    return Request(
        Budget(None, 10), workers=1, committed=committed, rearrange=rearrange
    )


@cache
def book() -> Book:
    """The tiny yard without its lock."""
    return replace(tiny_book(), locks=())


@cache
def plan() -> Plan:
    """Its plan."""
    return make_plan(book(), request()).plan


def with_person(name: str, first: date, last: date) -> Book:
    """Somebody is away."""
    people = tuple(
        replace(one, leave=(*one.leave, (first, last))) if one.id == name else one
        for one in book().yard.people
    )
    return replace(book(), yard=replace(book().yard, people=people))


def away() -> Book:
    """The rigger is away for two weeks."""
    return with_person("RG-01", date(2027, 3, 8), date(2027, 3, 19))


def mold_down() -> Book:
    """The hull mold is repaired for three weeks."""
    out = Outage(
        datetime.fromisoformat("2027-03-08T00:00"),
        datetime.fromisoformat("2027-03-27T00:00"),
    )
    molds = tuple(replace(one, outages=(out,)) for one in book().yard.molds)
    return replace(book(), yard=replace(book().yard, molds=molds))


def late_engine() -> Book:
    """The engine comes a week later than confirmed."""
    (row,) = book().arrivals
    late = replace(row, confirmed=date(2027, 3, 17))
    return replace(book(), arrivals=(late,))


def other_options() -> Book:
    """B-1 has a canvas top after all."""
    orders = tuple(
        replace(one, options=("canvas-top",)) if one.order == "B-1" else one
        for one in book().orders
    )
    return replace(book(), orders=orders)


def all_causes(now: Book) -> tuple[Cause, ...]:
    """Causes of every move when planned again around the plan."""
    after = make_plan(now, request(plan())).plan
    found = causes_of(plan(), after)
    moved = {
        one.operation
        for one in difference(plan(), after).operations
        if one.start_before != one.start_after
    }
    facts = {one.operation for one in after.problem.committed if one.why == "started"}
    assert {one.operation for one in found} == moved - facts
    assert all(one.cause for one in found)
    return found


@pytest.mark.parametrize(
    ("now", "operation", "cause"),
    [
        (away, "B-1/final.rig", "RG-01 is away"),
        (mold_down, "B-2/hull.prep", "H16-1 is out of use"),
        (late_engine, "B-1/final.rig", "its items or its release keep it until"),
        (other_options, "B-1/final.detail", "its labor hours have changed"),
    ],
)
def test_what_is_not_as_it_was(
    now: Callable[[], Book], operation: str, cause: str
) -> None:
    """A person, a mold, an engine, an order: every move of theirs names it."""
    found = {one.operation: one for one in all_causes(now())}
    assert found[operation].cause.startswith(cause)


def test_what_waits_for_it_has_its_cause() -> None:
    """Detailing follows rigging, outside the frozen window too."""
    found = {one.operation: one for one in all_causes(late_engine())}
    detail = found["B-1/final.detail"]
    assert detail.cause == found["B-1/final.rig"].cause
    assert detail.follows == "B-1/final.rig"
    assert not detail.inside_window


def test_nothing_moves_without_a_reason() -> None:
    """Planned again from the same, there is no move and no line."""
    found = all_causes(book())
    assert found == ()
    assert cause_lines(found) == []


def test_another_boat_has_what_it_had() -> None:
    """Where facts move nothing, the resource and its new owner are named."""
    heavy = replace(
        book(),
        yard=replace(book().yard, frozen_days=1),
        orders=(
            *(replace(one, weight=1) for one in book().orders),
            replace(
                book().orders[1], order="B-3", graphics=None, weight=9,
                wanted=date(2027, 3, 12), promised=date(2027, 3, 12),
            ),
        ),
    )  # fmt: skip
    after = make_plan(heavy, request(plan(), rearrange=True)).plan
    found = causes_of(plan(), after)
    told = {one.cause for one in found if one.order == "B-2"}
    assert any("is given to B-3, which is new" in one for one in told), told


def test_room_that_another_boat_left() -> None:
    """Once B-2 is withdrawn, plans the other way round say so."""
    alone = replace(book(), orders=book().orders[:1])
    after = make_plan(alone, request()).plan
    found = causes_of(plan(), after)
    assert {one.order for one in found} <= {"B-1"}
    assert all("B-2" in one.cause or one.cause in (ROOM, TURN) for one in found)


def test_lines_and_objects() -> None:
    """Grouped, most moves first; objects list every one."""
    found = all_causes(late_engine())
    lines = cause_lines(found)
    assert lines[0] == "WHY WORK MOVES"
    assert lines[1].startswith(f"{len(found)} steps to do begin at another time")
    assert len(lines) == 2 + len(grouped(found))
    assert [one["operation"] for one in cause_objects(found)] == [
        one.operation for one in found
    ]
