"""Rules of the shop: decoder, constraint model, checker and trying everything agree.

Each test takes a few of its seeds in the quick run, and all of them in the slow one.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from random import Random

import numpy as np
import pytest
from ortools.sat.python import cp_model

from scheduler.compiling.compile import compile_problem
from scheduler.cp_model.model import build_model, solve
from scheduler.problem import Problem
from tests.scheduler.exhaustive import Exhaustive, TooLarge
from tests.scheduler.random_facts import in_the_midst, random_plan
from tests.scheduler.random_problems import random_problem
from tests.scheduler.random_yards import MONDAY
from tests.scheduler.shop_rules import RULES
from tests.scheduler.sound_plans import violations

LONG = 60.0  # seconds: only a stop for a machine that hangs

ALL = 4  # the quick run takes one seed in so many, and asks for as much less
MIXED = ("all of them", "several at once")  # trying everything takes minutes
shares = pytest.mark.parametrize(
    "share", [1, pytest.param(ALL, marks=pytest.mark.slow)], ids=["few", "all"]
)


@shares
@pytest.mark.parametrize("name", RULES)
def test_decoded_plans_keep_the_rule(name: str, share: int) -> None:
    """The checker finds nothing in plans decoded from random choices.

    In every third, some work is done, begun or pinned already.
    """
    checked = bound = 0
    for seed in range(15 * share):
        plain = random_problem(seed)
        problem = RULES[name](plain, seed)
        if seed % 3 == 0:
            problem = in_the_midst(problem, Random(seed))
        compilation = compile_problem(problem)
        plan = random_plan(compilation, Random(seed))
        if plan is None:
            continue
        found = violations(compilation, plan)
        assert not found, (seed, found)
        checked += found is not None
        if seed % 3 == 0:
            continue
        loose = random_plan(compile_problem(plain), Random(seed))
        bound += loose is None or not np.array_equal(loose.start, plan.start)
    assert checked >= 10 * share
    assert bound >= 2.5 * share, "the rule hardly ever matters"


@shares
@pytest.mark.parametrize("name", RULES)
@pytest.mark.parametrize("level", [0, 1])
def test_decoded_plans_are_plans_of_the_model(
    name: str, level: int, share: int
) -> None:
    """Every value of a decoded plan's hint together is a solution of the model."""
    tried = 0
    for seed in range(40 * level, 40 * level + 10 * share):
        problem = RULES[name](random_problem(seed), seed)
        if seed % 3 == 0:
            problem = in_the_midst(problem, Random(seed))
        compilation = compile_problem(problem)
        plan = random_plan(compilation, Random(seed))
        if plan is None:
            continue
        model = build_model(compilation, hint=plan, level=level)
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.fix_variables_to_their_hinted_value = True
        status = solver.solve(model.draft.model)
        assert status in (cp_model.OPTIMAL, cp_model.FEASIBLE), seed
        hinted = set(model.draft.model.proto.solution_hint.vars)
        loose = {
            place
            for place, one in enumerate(model.draft.model.proto.variables)
            if not (len(one.domain) == 2 and one.domain[0] == one.domain[1])
        }
        assert loose <= hinted, seed
        tried += 1
    assert tried > 6.25 * share


@shares
@pytest.mark.parametrize("name", RULES)
def test_solutions_of_the_model_keep_the_rule(name: str, share: int) -> None:
    """The checker finds nothing in better plans; no bound exceeds any plan's value."""
    checked = 0
    first = 104 if name == "several at once" else 100  # where plans can be bettered
    for seed in range(first, first + 8 * share):
        compilation = compile_problem(RULES[name](random_problem(seed), seed))
        plan = random_plan(compilation, Random(seed))
        result = solve(
            compilation, hint=plan, seconds=LONG, workers=1, deterministic_limit=0.2
        )
        if plan is not None:
            assert result.bound is not None
            assert result.bound <= plan.values[0], seed
        if result.solution is None or result.solution is plan:
            continue
        found = violations(compilation, result.solution)
        assert not found, (seed, found)
        checked += found is not None
    assert checked >= 2 * share


def tiny_problem(seed: int, name: str) -> Problem:
    """Draw at most six operations in two-hour ticks, all of them late."""
    boats, operations = ((2, 3), (3, 2), (1, 6), (2, 2), (1, 5))[seed % 5]
    problem = random_problem(
        seed,
        boats,
        operations,
        tick_minutes=120,
        plain=True,
        calendars=("same", "one", "mixed")[seed % 3],
    )
    orders = tuple(
        replace(
            one,
            weight=1 + seed % 3,
            promised=(MONDAY + timedelta(days=number)).isoformat(),
        )
        for number, one in enumerate(problem.orders)
    )
    return RULES[name](replace(problem, orders=orders), seed)


@shares
@pytest.mark.parametrize(
    "name",
    [
        pytest.param(name, marks=pytest.mark.slow) if name in MIXED else name
        for name in RULES
    ],
)
def test_trying_everything_finds_nothing_better(name: str, share: int) -> None:
    """On tiny problems no plan at all beats the value that the model proves.

    As many are drawn as give enough to compare: some have too many plans to try.
    """
    compared = 0
    for seed in range(20 * share):
        if compared >= 8 * share:
            break
        problem = tiny_problem(seed, name)
        compilation = compile_problem(problem)
        result = solve(compilation, hint=None, seconds=LONG, workers=1)
        value = 10**6
        if result.status != "infeasible":
            assert result.proven, seed
            assert result.solution is not None
            assert not violations(compilation, result.solution), seed
            value = result.solution.values[0]
        for number in range(5):
            plan = random_plan(compilation, Random(number))
            assert plan is None or plan.values[0] >= value, seed
        try:
            assert not Exhaustive(problem, value, 4000).beaten(), seed
        except TooLarge:
            continue
        compared += value > 0
    assert compared >= 8 * share


@shares
def test_a_window_that_was_lost_cannot_be_kept(share: int) -> None:
    """No plan at all keeps it, so a re-preparation is never put in needlessly."""
    lost = kept = 0
    for seed in range(12 * share):
        plain = tiny_problem(seed, "re-preparation")
        missed = [one for one in plain.waits if one.reprep is not None]
        steps = {one.reprep for one in missed}
        if not missed:
            kept += any(one.why == "done" for one in plain.committed)
            continue
        problem = replace(
            plain,
            operations=tuple(one for one in plain.operations if one.id not in steps),
            waits=tuple(
                replace(one, reprep=None)
                for one in plain.waits
                if not steps & {one.before, one.after}
            ),
        )
        assert not Exhaustive(problem, 10**6, 100_000).beaten(), seed
        lost += 1
    assert lost >= 4 * share
    assert kept >= 1, "no window was ever still to be kept"
