"""Solves that race each other for a plan of so many late days at most."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest
from ortools.sat.python import cp_model

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
    """Race for a plan of so many late days at most; None where no start is left.

    One thread begins from a plan, the other from nothing.
    """
    try:
        models = [
            build_model(compilation, hint=hint, most=most) for hint in (plan, None)
        ]
    except NoWay:
        return None
    return ask(models[0], Limits(LONG, workers=2, race=True), models[1:])


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


def test_each_rival_begins_from_its_own_plan(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Threads of a race take the models in turn, and the plan is the winner's."""
    compilation = compile_problem(random_problem(4, boats=4))
    plan = random_plan(compilation, Random(4))
    assert plan is not None
    own = build_model(compilation, hint=plan)
    rival = build_model(compilation, hint=None, most=plan.values[0])
    asked: list[object] = []
    solved = cp_model.CpSolver.solve

    def watched(solver: cp_model.CpSolver, model: cp_model.CpModel) -> object:
        asked.append(model)
        return solved(solver, model)

    monkeypatch.setattr(cp_model.CpSolver, "solve", watched)
    for workers, models in ((1, [own]), (2, [own, rival]), (3, [own, rival, own])):
        asked.clear()
        result = ask(own, Limits(LONG, workers, race=True), [rival])
        expected = [id(one.draft.model) for one in models]
        assert sorted(map(id, asked)) == sorted(expected), workers
        assert result.proven
        assert result.solution is not None
        assert result.solution.values[0] == result.bound


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
