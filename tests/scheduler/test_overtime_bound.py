"""The bound that holds for every set of windows, against the optimum of each set."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

import pytest

from models.errors import NoPlan
from scheduler.classical.searching import decoded
from scheduler.compiling.compile import Compilation, compile_problem
from scheduler.cp_model.growing import grow
from scheduler.cp_model.model import solve
from scheduler.cp_model.tighten import Effort, Tightened
from scheduler.decoding.decoder import open_boats
from scheduler.naming.names import name_people
from scheduler.naming.roster import build_roster
from scheduler.naming.settle import Settled
from scheduler.overtime_bound import bound_by_model
from scheduler.problem import Problem
from scheduler.searching.chain import new_choices
from scheduler.solution import Solution
from tests.scheduler.test_overtime import every_set
from tests.scheduler.test_overtime_choice import hurried

EFFORT = Effort(60.0, None, 1, 0)


def never() -> bool:
    """Nobody asks to stop."""
    return False


def late_plan(compilation: Compilation) -> Solution:
    """A plan that begins nothing for three days: a bound has room to be wrong."""
    a = compilation.arrays
    choices = new_choices(a, open_boats(a)[::-1].copy())
    choices.delay[:] = a.now + 3 * a.ticks_per_day
    return decoded(compilation, choices)


def without_hours(problem: Problem) -> Problem:
    """Nobody may work overtime."""
    limits = (
        replace(one, hours_per_day=0.0, hours_per_week=0.0)
        for one in problem.overtime_limits
    )
    return replace(problem, overtime_limits=tuple(limits))


def named(compilation: Compilation, plan: Solution, bound: int = 0) -> Tightened:
    """A plan as it is told to the bound: whether people find names does not matter."""
    naming = name_people(compilation, build_roster(compilation), plan)
    return Tightened(Settled(plan, naming, 0), bound, "")


def best_of_every_set(problem: Problem) -> int | None:
    """The least late days of any set of windows; None where that is not proven."""
    found = [
        solve(compile_problem(problem, opened=opened), hint=None, seconds=60, workers=1)
        for opened in every_set(problem)
    ]
    optima = [
        one.solution.values[0]
        for one in found
        if one.status == "optimal" and one.solution is not None
    ]
    return min(optima) if len(optima) == len(found) else None


def late(compilation: Compilation) -> Tightened:
    """A late plan, of which nothing is known."""
    return named(compilation, late_plan(compilation))


def proven(compilation: Compilation) -> Tightened:
    """The best plan in regular time, with what some boats come to in it."""
    plan = solve(compilation, hint=None, seconds=60, workers=1).solution
    if plan is None:
        raise NoPlan("there is none")
    value = plan.values[0]
    floors = grow(compilation, value + 50, EFFORT, never).floors
    return replace(named(compilation, plan, value), floors=tuple(floors))


def bounds_and_optima(
    problems: Iterable[Problem], plan_of: Callable[[Compilation], Tightened] = late
) -> list[tuple[int, int, int]]:
    """Of each problem: the bound asked for from a plan, its value, the best."""
    rows = []
    for problem in problems:
        best = best_of_every_set(problem)
        if best is None:
            continue
        regular = compile_problem(problem)
        try:
            done = plan_of(regular)
        except NoPlan:
            continue
        value = done.settled.solution.values[0]
        rows.append((bound_by_model(regular, done, EFFORT, never), value, best))
    return rows


def test_no_set_of_windows_beats_the_bound() -> None:
    """The proven optimum of every set is no less; sometimes the bound is the best."""
    rows = bounds_and_optima(hurried(seed) for seed in range(12))
    assert len(rows) >= 8
    assert all(bound <= best <= value for bound, value, best in rows)
    assert any(0 < bound == best for bound, _, best in rows)


def test_nor_where_nobody_may_come() -> None:
    """Work in hand pauses over a window that others could have worked in.

    On one of these problems the bound was 30 where the best of all sets is 28: no crew
    was there from the shift into the window after it.
    """
    rows = bounds_and_optima(without_hours(hurried(seed)) for seed in range(12))
    assert len(rows) >= 8
    assert all(bound <= best <= value for bound, value, best in rows)
    assert any(0 < bound == best for bound, _, best in rows)


def test_nor_where_regular_time_is_proven() -> None:
    """Asked are what some boats come to in regular time, and then the plan itself."""
    rows = bounds_and_optima(map(hurried, range(12)), proven)
    assert len(rows) >= 8
    assert all(bound <= best <= value for bound, value, best in rows)
    assert any(0 < bound == best for bound, _, best in rows)
    assert any(best < value for _, value, best in rows)


@pytest.mark.slow
@pytest.mark.parametrize("change", [hurried, lambda seed: without_hours(hurried(seed))])
def test_no_set_of_windows_beats_the_bound_on_many(
    change: Callable[[int], Problem],
) -> None:
    """The same on 200 problems of each kind."""
    for rows in (
        bounds_and_optima(map(change, range(200))),
        bounds_and_optima(map(change, range(200)), proven),
    ):
        assert len(rows) >= 150
        assert all(bound <= best <= value for bound, value, best in rows)
