"""Which windows of overtime a plan opens."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, time
from functools import lru_cache

import pytest

from models.orders import Book, Lock
from models.yard import Overtime, OvertimeLimits
from scheduler.checker import check
from scheduler.compiling.compile import compile_problem
from scheduler.cp_model.model import solve
from scheduler.naming.names import name_people
from scheduler.naming.roster import build_roster
from scheduler.overtime import without_choice
from scheduler.overtime_choice import plan_with_overtime
from scheduler.plan import Plan
from scheduler.plan_file import answer_to_json, plan_to_json
from scheduler.planner import Request, find_plan, make_plan
from scheduler.problem import Problem
from scheduler.searching.search import Budget
from tests.scheduler.overtime_problems import with_windows
from tests.scheduler.random_problems import random_problem
from tests.scheduler.small_book import boat, clock, small_book, small_yard
from tests.scheduler.test_overtime import every_set

SATURDAYS = Overtime(
    "saturday",
    "shop",
    (6,),
    time(6),
    time(11),
    date(2026, 12, 1),
    date(2027, 1, 31),
    40.0,
)
LIMITS = OvertimeLimits(5, 5)
QUICK = Budget(None, 1200)


def book(due: date, *overtime: Overtime, boats: int = 3) -> Book:
    """Small boats, all due on one day, in a yard that offers overtime."""
    yard = small_yard(overtime=overtime, overtime_limits=LIMITS)
    orders = (boat(f"B{k + 1}", promised=due, weight=2) for k in range(boats))
    return replace(small_book(), yard=yard, orders=tuple(orders))


@lru_cache
def late_plan() -> tuple[Plan, Plan]:
    """Plans of boats that regular time makes late: with overtime and without."""
    due = date(2026, 12, 10)
    request = Request(QUICK, workers=1)
    return (
        make_plan(book(due, SATURDAYS), request).plan,
        make_plan(book(due), request).plan,
    )


def level(plan: Plan, place: int) -> float:
    """Value of a level, counted from 1."""
    return plan.answer.levels[place - 1].value


def test_overtime_is_opened_where_boats_would_be_late() -> None:
    """Saturdays make fewer late days; what is worked there is named and paid for."""
    paid, regular = late_plan()
    assert level(paid, 1) < level(regular, 1)
    assert level(paid, 2) > 0
    assert level(regular, 2) == 0
    assert paid.answer.overtime
    assert check(plan_to_json(paid)) == []


def test_what_overtime_proves_holds_for_every_set() -> None:
    """A late plan with a choice of windows has a bound below every set."""
    paid, _ = late_plan()
    first = paid.answer.levels[0]
    assert first.bound is not None
    assert first.bound <= first.value


def test_boats_in_time_need_no_overtime() -> None:
    """Where nobody is late, no window is opened, and levels 1 and 2 are proven."""
    request = Request(QUICK, workers=1)
    plan = make_plan(book(date(2027, 3, 1), SATURDAYS), request).plan
    assert plan.answer.overtime == ()
    assert [one.status for one in plan.answer.levels[:2]] == ["proven", "proven"]


def test_without_overtime_the_plan_is_that_of_regular_time() -> None:
    """With every window shut the answer is the one of a yard that has none."""
    request = Request(QUICK, workers=1, overtime=False)
    shut = make_plan(book(date(2026, 12, 10), SATURDAYS), request).plan
    _, regular = late_plan()
    axis = regular.problem.axis
    assert answer_to_json(shut.answer, axis) == answer_to_json(regular.answer, axis)


def test_equal_work_gives_an_equal_answer() -> None:
    """The choice of windows follows from seed and work, not from the clock."""
    paid, _ = late_plan()
    due = date(2026, 12, 10)
    again = make_plan(book(due, SATURDAYS), Request(QUICK, workers=2)).plan
    axis = paid.problem.axis
    assert answer_to_json(again.answer, axis) == answer_to_json(paid.answer, axis)


def test_a_committed_plan_keeps_its_overtime() -> None:
    """Work that stands in a window stands there in the next plan; the bound holds."""
    paid, _ = late_plan()
    request = Request(QUICK, workers=1, committed=paid, overtime=False)
    more = book(date(2026, 12, 10), SATURDAYS, boats=4)
    plan = make_plan(more, request).plan
    before = {one.operation: one for one in paid.answer.operations}
    for one in plan.answer.operations:
        if one.operation in before:
            assert one.segments == before[one.operation].segments
    assert set(paid.answer.overtime) <= set(plan.answer.overtime)
    standing = {one.id: one.standing for one in plan.problem.overtime}
    used = {row.window for row in paid.answer.overtime}
    assert all(standing[name] == "opened" for name in used)


def test_a_pin_in_a_window_opens_it() -> None:
    """Work that the planner has pinned to a Saturday is worked and paid there."""
    pin = Lock("B1", "rig", clock("2026-12-05T07:00"), None)
    pinned = replace(book(date(2027, 3, 1), SATURDAYS), locks=(pin,))
    request = Request(QUICK, workers=1, overtime=False)
    plan = make_plan(pinned, request).plan
    axis = plan.problem.axis
    (row,) = (one for one in plan.answer.operations if one.operation == "B1/rig")
    assert f"{axis.local(row.start):%Y-%m-%d %H:%M}" == "2026-12-05 07:00"
    assert {one.window for one in plan.answer.overtime} == {"saturday 2026-12-05"}
    standing = {one.id: one.standing for one in plan.problem.overtime}
    assert standing.pop("saturday 2026-12-05") == "opened"
    assert set(standing.values()) == {"closed"}


def best_of_every_set(problem: Problem) -> float | None:
    """The fewest weighted late days over all sets; None where names are in the way."""
    values = []
    for opened in every_set(problem):
        compilation = compile_problem(problem, opened=opened)
        result = solve(compilation, hint=None, seconds=60.0, workers=1)
        if result.solution is None or result.status != "optimal":
            return None
        roster = build_roster(compilation)
        if name_people(compilation, roster, result.solution).clashes:
            return None
        values.append(result.solution.values[0])
    return min(values)


def hurried(seed: int) -> Problem:
    """A random problem of two boats that are late in regular time, with two windows."""
    problem = random_problem(seed, 2, 4)
    due = problem.axis.local(problem.now).date().isoformat()
    orders = (replace(one, promised=due, weight=2) for one in problem.orders)
    return with_windows(replace(problem, orders=tuple(orders)), seed, 3, days=9)


def chosen_value(problem: Problem) -> float:
    """Level 1 of the plan that the choice of windows ends with."""
    chosen = plan_with_overtime(
        compile_problem(problem),
        Budget(None, 2000),
        lambda compilation, part, starts: find_plan(
            compilation, Request(part, workers=1), starts=starts
        ),
        workers=1,
    )
    return chosen.done.settled.solution.values[0]


def against_every_set(seeds: Iterable[int]) -> tuple[int, int, int]:
    """Count problems, those with the best value of all sets, those with a gain."""
    compared = equal = gained = 0
    for seed in seeds:
        problem = hurried(seed)
        best = best_of_every_set(problem)
        regular = best_of_every_set(without_choice(problem))
        if best is None or regular is None:
            continue
        found = chosen_value(problem)
        assert found >= best, seed
        compared += 1
        equal += found == best
        gained += found < regular
    return compared, equal, gained


def test_the_choice_is_the_best_of_all_sets() -> None:
    """As good as the proven optimum of every set, where overtime gains days."""
    assert against_every_set((26, 48)) == (2, 2, 2)


@pytest.mark.slow
def test_the_choice_is_near_the_best_of_all_sets_on_many() -> None:
    """On 70 problems never below the optima of all sets, and nearly always equal."""
    compared, equal, gained = against_every_set(range(70))
    assert compared >= 60
    assert equal >= 0.95 * compared
    assert gained >= 4
