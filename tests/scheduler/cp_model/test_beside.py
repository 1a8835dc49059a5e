"""Planning the boats of a clash anew beside all others."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from scheduler.compiling.compile import Compilation, compile_problem
from scheduler.cp_model.beside import plan_beside
from scheduler.cp_model.conflict import stand_still
from scheduler.cp_model.model import Limits
from scheduler.cp_model.setting import make_setting
from scheduler.solution import Solution
from tests.scheduler.random_facts import random_plan
from tests.scheduler.random_problems import random_problem
from tests.scheduler.sound_plans import violations

LONG = 60.0  # seconds: only a stop for a machine that hangs


def _drawn(seed: int) -> tuple[Compilation, Solution | None]:
    compilation = compile_problem(random_problem(seed, boats=3))
    return compilation, random_plan(compilation, Random(seed))


def _free(compilation: Compilation, plan: Solution | None) -> list[int]:
    """Operations of boats that take time in a plan and may move."""
    if plan is None:
        return []
    a, setting = compilation.arrays, make_setting(compilation, plan, None)
    return [
        op
        for op in range(len(a.boat_of))
        if setting.is_free[op] and a.boat_of[op] < a.boats and plan.length[op]
    ]


def test_only_the_boats_of_the_cuts_move() -> None:
    """A forbidden start is left, by a sound plan no later that moves one boat alone."""
    moved = refused = 0
    for seed in range(40):
        compilation, plan = _drawn(seed)
        free = _free(compilation, plan)
        if plan is None or not free:
            continue
        a, setting = compilation.arrays, make_setting(compilation, plan, None)
        op = Random(seed).choice(free)
        cut = stand_still(setting, plan, [op])
        found, _ = plan_beside(compilation, plan, [cut], Limits(LONG, workers=2))
        if found is None:
            refused += 1
            continue
        moved += 1
        others = (a.boat_of != a.boat_of[op]) & (a.boat_of < a.boats)
        assert (found.start[others] == plan.start[others]).all(), seed
        before = int(plan.index[op]), int(plan.length[op])
        assert (int(found.index[op]), int(found.length[op])) != before, seed
        assert found.values[0] <= plan.values[0], seed
        problems = violations(compilation, found)
        assert not problems, (seed, problems)
    assert moved > 5
    assert refused > 0


def test_a_cut_that_what_stands_keeps_already_forbids_nothing() -> None:
    """A known cut binds only if the boats that stay are where its terms have them."""
    bound = loose = 0
    for seed in range(40):
        compilation, plan = _drawn(seed)
        free = _free(compilation, plan)
        if plan is None or not free:
            continue
        a, setting = compilation.arrays, make_setting(compilation, plan, None)
        other = [op for op in free if a.boat_of[op] != a.boat_of[free[0]]]
        if not other:
            continue
        (stands,) = stand_still(setting, plan, [other[0]])
        away = replace(stands, first=stands.first + 1, last=stands.last + 1)
        cuts, limits = [stand_still(setting, plan, [free[0]])], Limits(LONG, workers=2)
        without, _ = plan_beside(compilation, plan, cuts, limits)
        kept, _ = plan_beside(compilation, plan, cuts, limits, [(away,)])
        broken, _ = plan_beside(compilation, plan, cuts, limits, [(stands,)])
        assert (kept is None) == (without is None), seed
        assert broken is None, seed
        bound += 1
        loose += kept is not None
    assert bound > 10
    assert loose > 3
