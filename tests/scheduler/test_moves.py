"""Planning again from what is true: what has to move does, with its cause, no more."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from functools import cache

import pytest

from models.errors import NoPlan
from models.orders import Book
from models.yard import Mold
from scheduler.checker import check
from scheduler.moves import BEHIND
from scheduler.plan import Move, Plan
from scheduler.plan_file import plan_to_json
from scheduler.planner import Request, make_plan
from scheduler.report import changes_lines
from scheduler.searching.search import Budget
from tests.scheduler.small_book import done, small_book, small_yard

ONE_MOLD = (Mold("H1", "hull", ("wren",)),)


def request(committed: Plan | None = None) -> Request:
    """Ask for a quick, repeatable plan."""
    return Request(Budget(None, 60), workers=1, committed=committed)


@cache
def monday() -> Plan:
    """Both boats in the one mold, the second right after the first."""
    return make_plan(small_book(yard=small_yard(molds=ONE_MOLD)), request()).plan


def wednesday(skin_done: str, **changes: object) -> Book:
    """The book two days later: the first hull is in its mold, its skin done."""
    rows = (
        done("B1", "prep", "2026-11-30T06:00", "2026-11-30T08:00", mold="H1"),
        done("B1", "gel_coat", "2026-11-30T08:00", "2026-11-30T09:30"),
        done("B1", "skin", "2026-12-01T06:00", skin_done),
    )
    yard = small_yard(molds=ONE_MOLD, as_of=date(2026, 12, 2), **changes)
    return small_book(yard=yard, in_hand=rows)


def causes(plan: Plan) -> dict[str, str]:
    """What moved inside the frozen window, and why."""
    return {one.operation: one.cause for one in plan.answer.moves}


def test_nothing_moves_where_all_went_as_planned() -> None:
    """Done as planned: every other start stays, and no move is listed."""
    plan = make_plan(wednesday("2026-12-01T11:00"), request(monday())).plan
    assert plan.answer.moves == ()
    before = {one.operation: one.start for one in monday().answer.operations}
    offset = plan.problem.axis.tick_floor(monday().problem.axis.start)
    for one in plan.answer.operations:
        assert one.start == before[one.operation] + offset


def test_a_longer_cure_moves_the_next_boat_in_the_mold() -> None:
    """The skin was done two hours late: demolding waits, and so must the next boat.

    Without giving way there is no plan: the mold is taken twice.
    """
    plan = make_plan(wednesday("2026-12-01T13:00"), request(monday())).plan
    assert check(plan_to_json(plan)) == []
    told = causes(plan)
    assert told["B1/demold"] == "what it waits for was done later than planned"
    assert told["B2/prep"] == BEHIND
    starts = {one.operation: one for one in plan.answer.operations}
    assert starts["B1/demold"].finish <= starts["B2/prep"].start
    text = "\n".join(changes_lines(monday(), plan))
    assert f"B2/prep moved inside the frozen window: {BEHIND}" in text


def test_a_move_that_is_not_listed_is_a_fault() -> None:
    """The checker asks for the cause of every move inside the frozen window."""
    plan = make_plan(wednesday("2026-12-01T13:00"), request(monday())).plan
    silent = replace(plan, answer=replace(plan.answer, moves=()))
    found = check(plan_to_json(silent))
    assert any("B2/prep" in one and "no cause is told" in one for one in found)
    wrong = replace(plan.answer.moves[0], after=plan.answer.moves[0].after + 1)
    moves: tuple[Move, ...] = (wrong, *plan.answer.moves[1:])
    found = check(plan_to_json(replace(plan, answer=replace(plan.answer, moves=moves))))
    assert any("a start that it does not have" in one for one in found)


def test_giving_way_does_not_hide_what_is_impossible() -> None:
    """Where no plan exists at all, that is said."""
    book = wednesday("2026-12-01T13:00")
    people = tuple(one for one in book.yard.people if "rig" not in one.skills)
    bare = replace(book, yard=replace(book.yard, people=people))
    with pytest.raises(NoPlan):
        make_plan(bare, request(monday()))
