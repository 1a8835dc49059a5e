"""Plans grown boat by boat: they keep the rules, and their bounds hold for all."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import numpy as np
import pytest

from scheduler.bounds import alone_bound, alone_tardiness
from scheduler.compiling.compile import Compilation, compile_problem
from scheduler.cp_model.growing import grow
from scheduler.cp_model.model import Limits, ask, build_model, solve
from scheduler.cp_model.tighten import Effort
from scheduler.cp_model.which_boats import boats_without_facts
from scheduler.solution import Solution
from tests.scheduler.random_facts import random_plan
from tests.scheduler.random_problems import random_problem
from tests.scheduler.shop_rules import RULES
from tests.scheduler.sound_plans import violations

LONG = 60.0  # seconds: only a stop for a machine that hangs
EFFORT = Effort(LONG, 2.0, 1, 0)


def proven(compilation: Compilation, plan: Solution) -> int | None:
    """The least weighted late days by the model of all boats; None if not proven."""
    result = solve(
        compilation, hint=plan, seconds=LONG, workers=1, deterministic_limit=1.0
    )
    return result.bound if result.proven else None


@pytest.mark.parametrize("name", RULES)
def test_bounds_of_some_boats_hold_for_all(name: str) -> None:
    """Leaving boats out never makes the others later than the best plan of all."""
    compared = above_zero = 0
    for seed in range(8):
        compilation = compile_problem(RULES[name](random_problem(seed), seed))
        plan = random_plan(compilation, Random(seed))
        best = None if plan is None else proven(compilation, plan)
        if best is None:
            continue
        boats = boats_without_facts(compilation.arrays)
        for boat in boats:
            model = build_model(compilation, hint=None, left_out=[boat])
            result = ask(model, Limits(LONG, 1, 0, 0.5))
            assert result.status != "infeasible", (seed, boat)
            assert result.bound is not None
            assert result.bound <= best, (seed, boat)
            compared += 1
            above_zero += result.bound > 0
    assert compared >= 8
    assert above_zero >= 1


def test_grown_plans_and_bounds_agree_with_the_whole_model() -> None:
    """No bound exceeds the proven least; sound plans come of it, mostly the best."""
    bettered = best_found = checked = 0
    for seed in range(40):
        facts = seed % 3 == 0
        compilation = compile_problem(random_problem(seed, boats=4, facts=facts))
        plan = random_plan(compilation, Random(seed))
        best = None if plan is None else proven(compilation, plan)
        if plan is None or best is None or plan.values[0] == best:
            continue
        grown = grow(compilation, plan.values[0], EFFORT, lambda: False)
        assert grown.bound <= best, seed
        assert grown.bound >= alone_bound(compilation.arrays), seed
        if not boats_without_facts(compilation.arrays):
            assert grown.solution is None
            continue
        bettered += 1
        if grown.solution is None:
            continue
        assert best <= grown.solution.values[0] < plan.values[0], seed
        best_found += grown.solution.values[0] == best
        found = violations(compilation, grown.solution)
        assert not found, (seed, found)
        checked += found is not None
    assert bettered >= 10
    assert checked >= 5
    assert best_found >= 0.9 * bettered


def test_floors_are_what_their_boats_come_to_at_least() -> None:
    """No floor exceeds the least of its boats."""
    compared = 0
    for seed in range(24):
        facts = seed % 3 == 0
        compilation = compile_problem(random_problem(seed, boats=4, facts=facts))
        a = compilation.arrays
        plan = random_plan(compilation, Random(seed))
        if plan is None:
            continue
        effort = replace(EFFORT, deterministic=0.2)
        grown = grow(compilation, plan.values[0] + 1, effort, lambda: False)
        given = sum(
            late
            for late, fixed in zip(alone_tardiness(a), a.boat_fixed, strict=False)
            if fixed
        )
        for boats, least in grown.floors:
            fixed = set(np.flatnonzero(a.boat_fixed).tolist())
            others = set(range(a.boats)) - boats - fixed
            model = build_model(compilation, hint=None, left_out=others)
            result = ask(model, Limits(LONG, 1, 0, 1.0))
            if result.status == "optimal" and result.bound is not None:
                assert least <= result.bound - given, (seed, boats)
                compared += 1
    assert compared >= 5


def test_boats_with_facts_are_never_left_out() -> None:
    """Of boats to be added one by one, nothing is done, begun or pinned."""
    for seed in range(0, 30, 3):
        a = compile_problem(random_problem(seed, boats=4, facts=True)).arrays
        for boat in boats_without_facts(a):
            assert not a.binding[a.boat_at[boat] : a.boat_at[boat + 1]].any()


def test_alone_tardiness_adds_up() -> None:
    """The boats' own parts sum to the bound of an empty yard."""
    for seed in range(10):
        a = compile_problem(random_problem(seed)).arrays
        assert sum(alone_tardiness(a)) == alone_bound(a)


def test_growing_repeats() -> None:
    """With one worker and deterministic time, the same plan comes again."""
    compilation = compile_problem(random_problem(4, boats=4))
    plan = random_plan(compilation, Random(4))
    assert plan is not None
    value = plan.values[0] + 1
    first, second = (grow(compilation, value, EFFORT, lambda: False) for _ in range(2))
    assert first.bound == second.bound
    assert (first.solution is None) == (second.solution is None)
    if first.solution is not None and second.solution is not None:
        assert (first.solution.start == second.solution.start).all()
