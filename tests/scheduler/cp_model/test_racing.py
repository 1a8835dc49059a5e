"""Solves that race each other for a plan of so many late days at most."""

from __future__ import annotations

from random import Random

import numpy as np

from scheduler.compiling.compile import Compilation, compile_problem
from scheduler.cp_model.model import (
    CpResult,
    Limits,
    ask,
    build_model,
    solve,
)
from scheduler.cp_model.windows import NoWay
from scheduler.solution import Solution
from tests.scheduler.random_facts import random_plan
from tests.scheduler.random_problems import random_problem
from tests.scheduler.sound_plans import violations

LONG = 60.0  # seconds: only a stop for a machine that hangs


def raced(compilation: Compilation, plan: Solution, most: int) -> CpResult | None:
    """Race for a plan of so many late days at most; None where no start is left."""
    try:
        model = build_model(compilation, hint=plan, most=most)
    except NoWay:
        return None
    return ask(model, Limits(LONG, workers=2, race=True))


def test_a_race_finds_the_least_and_nothing_below_it() -> None:
    """At the proven least a sound plan is found, one day below it none."""
    reached = checked = denied = 0
    for seed in range(30):
        compilation = compile_problem(random_problem(seed, boats=3))
        plan = random_plan(compilation, Random(seed))
        if plan is None:
            continue
        best = solve(compilation, hint=plan, seconds=LONG, workers=1)
        assert best.proven, seed
        assert best.bound is not None
        result = raced(compilation, plan, best.bound)
        assert result is not None, seed
        assert result.status == "optimal", seed
        assert result.solution is not None
        assert result.solution.values[0] == best.bound, seed
        found = violations(compilation, result.solution)
        assert not found, (seed, found)
        reached += 1
        checked += found is not None
        if best.bound > 0:
            below = raced(compilation, plan, best.bound - 1)
            assert below is None or below.status == "infeasible", seed
            denied += 1
    assert reached >= 15
    assert checked >= 3
    assert denied >= 3


def test_a_race_stops_when_asked_to() -> None:
    """Whoever stops a race gets what was there before, and no false proof."""
    compilation = compile_problem(random_problem(4, boats=4))
    plan = random_plan(compilation, Random(4))
    assert plan is not None
    model = build_model(compilation, hint=plan)
    asked = []

    def stop() -> bool:
        asked.append(True)
        return True

    result = ask(model, Limits(LONG, 2, 0, None, stop, race=True))
    assert result.solution is not None
    assert result.solution.values[0] <= plan.values[0]
    if not asked:  # solved before the watcher looked for the first time
        assert result.proven
    assert np.all(result.solution.start >= 0)
