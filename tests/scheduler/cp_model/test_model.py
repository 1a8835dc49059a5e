"""The constraint model against the checker, the decoder and trying everything."""

from __future__ import annotations

import gc
import weakref
from dataclasses import replace
from datetime import timedelta
from random import Random

import numpy as np
import pytest
from ortools.sat.python import cp_model

from scheduler.compiling.compile import Compilation, compile_problem
from scheduler.cp_model.conflict import stand_still
from scheduler.cp_model.model import Limits, Model, add_cuts, ask, build_model, solve
from scheduler.cp_model.setting import share
from scheduler.cp_model.which_boats import boats_without_facts
from scheduler.problem import Problem
from scheduler.solution import Solution
from tests.scheduler.exhaustive import Exhaustive, TooLarge
from tests.scheduler.random_facts import random_plan
from tests.scheduler.random_problems import random_problem
from tests.scheduler.random_yards import MONDAY
from tests.scheduler.sound_plans import violations

LONG = 60.0  # seconds: only a stop for a machine that hangs
EFFORT = 0.15  # deterministic time


def problem_of(seed: int) -> Compilation:
    """Draw a problem; every third one has work done, begun and pinned."""
    return compile_problem(random_problem(seed, facts=seed % 3 == 0))


def planned(seed: int) -> tuple[Compilation, Solution] | None:
    """Draw a problem with a decoded plan; None where decoding fails."""
    compilation = problem_of(seed)
    plan = random_plan(compilation, Random(seed))
    return None if plan is None else (compilation, plan)


def fix_to_hint(model: Model) -> bool:
    """Whether the model allows the starts and every other value of its hint."""
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.fix_variables_to_their_hinted_value = True
    status = solver.solve(model.draft.model)
    return status in (cp_model.OPTIMAL, cp_model.FEASIBLE)


@pytest.mark.parametrize("level", [0, 1, 2])
def test_decoded_plans_are_plans_of_the_model(level: int) -> None:
    """Every value of a decoded plan's hint together is a solution of the model."""
    tried = 0
    for seed in range(45 * level, 45 * level + 60):
        drawn = planned(seed)
        if drawn is not None:
            model = build_model(drawn[0], hint=drawn[1], level=level)
            assert fix_to_hint(model), seed
            tried += 1
    assert tried > 40


def test_hints_are_complete() -> None:
    """Every variable of the model has a value in the hint."""
    for seed in range(20):
        drawn = planned(seed)
        if drawn is None:
            continue
        proto = build_model(drawn[0], hint=drawn[1], level=1).draft.model.proto
        hinted = set(proto.solution_hint.vars)
        constants = {
            place
            for place, one in enumerate(proto.variables)
            if len(one.domain) == 2 and one.domain[0] == one.domain[1]
        }
        assert hinted | constants == set(range(len(proto.variables))), seed


@pytest.mark.parametrize("level", [0, 1, 2])
def test_solutions_pass_the_checker(level: int) -> None:
    """Every solution of the model that can be named keeps every rule of a plan."""
    checked = better = 0
    for seed in range(100 + 20 * level, 135 + 20 * level):
        compilation = problem_of(seed)
        plan = random_plan(compilation, Random(seed))
        result = solve(
            compilation,
            hint=plan,
            seconds=LONG,
            workers=1,
            deterministic_limit=EFFORT,
            level=level,
        )
        if result.solution is None or result.solution is plan:
            continue
        found = violations(compilation, result.solution)
        assert not found, (seed, found)
        checked += found is not None
        if plan is not None and level < 2:
            place = 2 * level
            better += result.solution.values[place] < plan.values[place]
            assert result.solution.values[0] <= plan.values[0], seed
    assert checked >= 10
    assert level == 2 or better >= 8


def test_bounds_do_not_exceed_any_plan() -> None:
    """A stated bound is at most the value of every decoded plan, and of the best."""
    compared = proven = 0
    for seed in range(200, 230):
        drawn = planned(seed)
        if drawn is None:
            continue
        compilation, plan = drawn
        result = solve(
            compilation, hint=plan, seconds=LONG, workers=1, deterministic_limit=0.5
        )
        assert result.bound is not None
        assert result.solution is not None
        others = [random_plan(compilation, Random(n)) for n in range(5)]
        values = [one.values[0] for one in (plan, *others) if one is not None]
        assert result.bound <= min(values), seed
        assert result.bound <= result.solution.values[0] <= plan.values[0], seed
        assert not result.proven or result.bound == result.solution.values[0], seed
        proven += result.proven
        compared += 1
    assert compared > 20
    assert proven > 15


def tiny_problem(seed: int) -> Problem:
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
    return replace(problem, orders=orders)


def agree(seeds: range, most_nodes: int) -> int:
    """Compare proven values with trying everything; returns how many were."""
    compared = 0
    for seed in seeds:
        problem = tiny_problem(seed)
        compilation = compile_problem(problem)
        result = solve(compilation, hint=None, seconds=LONG, workers=1)
        if result.status == "infeasible":
            value = 10**6
        else:
            assert result.proven, seed
            assert result.solution is not None
            assert not violations(compilation, result.solution), seed
            value = result.solution.values[0]
        try:
            assert not Exhaustive(problem, value, most_nodes).beaten(), seed
        except TooLarge:
            continue
        compared += value > 0
    return compared


def test_trying_everything_finds_nothing_better() -> None:
    """On tiny problems no plan at all beats the value that the model proves."""
    assert agree(range(60), most_nodes=4000) >= 50


@pytest.mark.slow
def test_trying_everything_finds_nothing_better_on_many() -> None:
    """The same on 300 more problems, with longer searches."""
    assert agree(range(60, 390), most_nodes=40000) >= 300


def test_a_model_goes_with_its_last_user() -> None:
    """Large models are written one after the other: none waits for the collector."""
    model = build_model(problem_of(1), hint=None)
    ask(model, Limits(LONG, 1))
    gc.disable()
    try:
        written = weakref.ref(model.draft.model)
        del model
        assert written() is None
    finally:
        gc.enable()


def test_what_models_share_changes_nothing() -> None:
    """After other models of the problem the same one is written."""
    looked_up = 0
    for seed in range(12):
        drawn = planned(seed)
        if drawn is None:
            continue
        compilation, plan = drawn
        shared, boats = share(compilation), boats_without_facts(compilation.arrays)
        for free in (None, boats[:1], boats[1:], None):
            own = build_model(compilation, hint=plan, free_boats=free)
            other = build_model(compilation, hint=plan, free_boats=free, shared=shared)
            assert str(own.draft.model.proto) == str(other.draft.model.proto)
        looked_up += len(shared.manned)
    assert looked_up > 10


def test_windows_leave_other_boats_alone() -> None:
    """Boats outside a window keep starts, crews and slots, and the plan stays sound."""
    checked = 0
    for seed in range(300, 330):
        compilation = compile_problem(
            random_problem(seed, boats=4, facts=seed % 3 == 0)
        )
        plan = random_plan(compilation, Random(seed))
        if plan is None:
            continue
        result = solve(
            compilation,
            hint=plan,
            free_boats=[1, 2],
            seconds=LONG,
            workers=1,
            deterministic_limit=0.5,
        )
        assert result.bound is None
        assert not result.proven
        assert result.solution is not None
        if result.solution is plan:
            continue
        a = compilation.arrays
        outside = ~np.isin(a.boat_of, [1, 2])
        for name in ("start", "finish", "crew"):
            old, new = getattr(plan, name), getattr(result.solution, name)
            assert (old[outside] == new[outside]).all(), seed
        holders = ~np.isin(a.part_boat[a.hold_part], [1, 2])
        same = plan.hold_slot[holders] == result.solution.hold_slot[holders]
        assert same.all(), seed
        assert result.solution.values[0] < plan.values[0], seed
        found = violations(compilation, result.solution)
        assert not found, (seed, found)
        checked += found is not None
    assert checked >= 5


def test_forbidden_starts_do_not_hold_together() -> None:
    """A plan that is forbidden is not found again; without another, there is none."""
    compilation = problem_of(1)
    plan = random_plan(compilation, Random(1))
    assert plan is not None
    model = build_model(compilation, hint=plan)
    first = ask(model, Limits(LONG, workers=1))
    assert first.solution is not None
    best = first.solution
    add_cuts(model, [stand_still(model.setting, best, range(len(best.start)))])
    second = ask(model, Limits(LONG, workers=1))
    assert second.proven
    assert second.solution is not None
    moved = (second.solution.start != best.start) | (second.solution.crew != best.crew)
    assert second.solution is plan or moved.any()
    assert second.bound is not None
    assert first.bound is not None
    assert second.bound >= first.bound


def test_the_same_seed_gives_the_same_plan() -> None:
    """With one worker and a limit in deterministic time, results repeat."""
    compilation = problem_of(5)
    plan = random_plan(compilation, Random(5))
    starts = []
    for _ in range(2):
        result = solve(
            compilation, hint=plan, seconds=LONG, workers=1, deterministic_limit=0.3
        )
        assert result.solution is not None
        starts.append(result.solution.start)
    assert (starts[0] == starts[1]).all()


def test_a_solve_can_be_stopped() -> None:
    """Where stopping is asked for at once, the hint comes back, unproven."""
    compilation = compile_problem(random_problem(7, boats=8, operations=12))
    plan = random_plan(compilation, Random(7))
    assert plan is not None
    result = solve(
        compilation, hint=plan, seconds=LONG, workers=1, should_stop=lambda: True
    )
    assert result.solution is not None
    assert result.solution.values[0] <= plan.values[0]
    assert result.seconds < LONG / 2


def test_no_plan_at_all_is_said() -> None:
    """Where facts leave no plan at all, that is said instead of a plan."""
    problem = random_problem(2, boats=1, operations=3, calendars="one")
    late = tuple(
        replace(one, earliest=problem.axis.ticks) for one in problem.operations
    )
    result = solve(
        compile_problem(replace(problem, operations=late)),
        hint=None,
        seconds=LONG,
        workers=1,
    )
    assert result.status == "infeasible"
    assert result.solution is None
    assert result.bound is None
