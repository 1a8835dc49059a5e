"""Proofs with names: what counting people cannot see, the model is told."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time
from functools import cache

import numpy as np

from models.boat import RoutingWait
from models.orders import Book
from models.yard import Person, Shift, Skill, Station, TradeCalendar
from scheduler.checker import check
from scheduler.compiling.compile import compile_problem
from scheduler.cp_model import tighten
from scheduler.cp_model.model import build_model, solve
from scheduler.naming.names import Clash
from scheduler.plan_file import plan_to_json
from scheduler.planner import Outcome, Request, make_plan
from scheduler.searching.search import Budget
from tests.scheduler.random_problems import random_problem
from tests.scheduler.small_book import (
    WEEK,
    boat,
    small_book,
    small_model,
    small_yard,
    step,
)

LONG = 60.0  # seconds: only a stop for a machine that hangs


def two_people_three_skills() -> Book:
    """One boat needs skill a for the whole shift, the other b and then c.

    P1 has a and b, P2 has a and c. At every tick two people are enough for both boats
    in one day, and yet nobody can do so: whoever works on the first boat is missed on
    the second. The constructed case of the planning rules: people change only at a
    break or stop.
    """
    calendar = TradeCalendar("shop", (Shift(WEEK, time(8), time(10), ()),), frozenset())
    yard = small_yard(
        tick_minutes=60,
        allowances={},
        calendars=(calendar,),
        skills=tuple(Skill(name, name, "shop") for name in "abc"),
        stations=(Station("floor", "Floor", "Floor"),),
        molds=(),
        places=(),
        people=(Person("P1", ("a", "b"), "shop"), Person("P2", ("a", "c"), "shop")),
    )
    one = {"crew_max": 1, "one_go": True}
    first = small_model(
        id="long",
        parts=(),
        operations=(step("whole", "a", "floor", 2, parts=(), **one),),
        waits=(),
        options=(),
        graphics=(),
    )
    second = replace(
        first,
        id="short",
        operations=(
            step("early", "b", "floor", 1, parts=(), **one),
            step("late", "c", "floor", 1, parts=(), **one),
        ),
        waits=(RoutingWait("sequence", "early", "late"),),
    )
    due = date(2026, 11, 30)
    orders = (
        boat("B1", model="long", promised=due, weight=1),
        boat("B2", model="short", promised=due, weight=1),
    )
    return small_book(yard=yard, models={"long": first, "short": second}, orders=orders)


@cache
def planned() -> Outcome:
    """The plan of that book, made with a work budget."""
    return make_plan(two_people_three_skills(), Request(Budget(None, 400), workers=1))


def test_counting_alone_sees_no_late_boat() -> None:
    """At every tick there are people enough, so the model first promises 0 days."""
    compilation = compile_problem(planned().plan.problem)
    hint = planned().settled.solution
    result = solve(compilation, hint=hint, seconds=LONG, workers=1)
    assert result.proven
    assert result.bound == 0


def test_the_proof_keeps_the_rule_of_the_floor() -> None:
    """With the reason given, one late day is proven to be the least."""
    outcome = planned()
    level = outcome.plan.answer.levels[0]
    weight = outcome.plan.problem.orders[0].weight
    assert (level.value, level.bound, level.status) == (weight, weight, "proven")
    assert sorted(one.tardy_days for one in outcome.plan.answer.orders) == [0, 1]
    assert check(plan_to_json(outcome.plan)) == []


def test_a_clash_of_work_that_stands_moves_what_is_beside_it() -> None:
    """A stretch may name none of the free work in it; another plan is asked for."""
    problem = random_problem(3, boats=3, operations=9)
    compilation = compile_problem(problem)
    plan = solve(compilation, hint=None, seconds=LONG, workers=1).solution
    assert plan is not None
    model = build_model(compilation, hint=plan, free_boats=[0])
    a = compilation.arrays
    standing = int(np.flatnonzero((a.boat_of == 1) & (a.skill >= 0))[0])
    clash = Clash((standing,), 0, int(plan.finish.max()), b"")
    (cut,), explained = tighten.reasons(model, plan, [clash])
    assert not explained
    assert {term.op for term in cut} == set(
        np.flatnonzero((a.boat_of == 0) & (a.skill >= 0) & (plan.length > 0))
    )
