"""Feasibility both ways, and no stated bound above a proven optimum."""

from __future__ import annotations

from dataclasses import dataclass, replace
from random import Random

import numpy as np
import pytest

from scheduler.bounds import alone_bound
from scheduler.compiling.compile import Compilation, compile_problem
from scheduler.cp_model.model import solve
from scheduler.cp_model.tighten import Effort, tighten
from scheduler.decoding.decoder import (
    VALUES,
    decode,
    due_positions,
    facts_state,
    new_state,
)
from scheduler.naming.names import name_people
from scheduler.naming.roster import build_roster
from scheduler.naming.settle import Settled
from scheduler.planner import Request, find_plan
from scheduler.problem import Problem
from scheduler.searching.search import Budget
from scheduler.solution import Solution, snapshot
from tests.scheduler.exhaustive import Exhaustive, TooLarge
from tests.scheduler.planned import random_choices
from tests.scheduler.random_facts import random_plan
from tests.scheduler.random_problems import random_problem
from tests.scheduler.sound_plans import violations
from tests.scheduler.strained_problems import is_plain, strained_problem

LONG = 120.0  # seconds: only a stop for a machine that hangs
DRAWS = 20  # plans drawn from the decoder where there should be none
MOST_NODES = 3000
IMPOSSIBLE = 1  # late days; without dates, every plan has fewer


@dataclass
class Tally:
    """What a run over strained books came to."""

    infeasible: int = 0
    feasible: int = 0
    missed: int = 0  # a plan exists, and no draw of the decoder found one
    tried_out: int = 0  # infeasible ones for which everything was tried, too


def strain(seeds: range) -> Tally:
    """Compare the constraint model with the decoder on books short of time."""
    tally = Tally()
    for seed in seeds:
        problem = strained_problem(seed)
        compilation = compile_problem(problem)
        result = solve(compilation, hint=None, seconds=LONG, workers=1)
        plans = [drawn_plan(compilation, n) for n in range(DRAWS)]
        found = [plan for plan in plans if plan is not None]
        if result.status == "infeasible":
            assert not found, (seed, violations(compilation, found[0]))
            tally.infeasible += 1
            tally.tried_out += is_plain(seed) and nothing_fits(problem)
        else:
            assert result.status == "optimal", seed
            tally.feasible += 1
            tally.missed += not found
    return tally


def drawn_plan(compilation: Compilation, seed: int) -> Solution | None:
    """A plan of an order, crews and delays drawn at random; every other time no delays.

    None where they lead to none.
    """
    a = compilation.arrays
    facts, sound = facts_state(a)
    choices = random_choices(compilation, seed)
    if seed % 2 == 0:
        choices.delay[:] = 0
    state, value = new_state(a), np.zeros(VALUES, np.int64)
    if not (sound and decode(a, facts, state, choices, due_positions(a), value)):
        return None
    return snapshot(a, state)


def nothing_fits(problem: Problem) -> bool:
    """Whether trying everything finds no plan either; False where that is too much."""
    undated = tuple(replace(one, promised=None, wanted=None) for one in problem.orders)
    try:
        problem = replace(problem, orders=undated)
        assert not Exhaustive(problem, IMPOSSIBLE, MOST_NODES).beaten()
    except TooLarge:
        return False
    return True


def test_where_no_plan_exists_the_decoder_has_none() -> None:
    """Proven infeasible by the model: no order, crew or delay decodes to a plan."""
    tally = strain(range(60))
    assert tally.infeasible >= 20
    assert tally.feasible >= 20
    assert tally.tried_out >= 5
    assert tally.missed <= 3  # what the planner then asks the model for


@pytest.mark.slow
def test_where_no_plan_exists_the_decoder_has_none_on_many() -> None:
    """The same on 600 more books."""
    tally = strain(range(60, 660))
    assert tally.infeasible >= 150
    assert tally.feasible >= 200
    assert tally.tried_out >= 50


def small_book(seed: int) -> Compilation:
    """Draw a book of up to three boats and a dozen operations."""
    boats, operations = ((1, 6), (2, 4), (2, 6), (3, 4), (3, 3))[seed % 5]
    return compile_problem(random_problem(seed, boats, operations, facts=seed % 4 == 0))


def bounds_without_names(
    compilation: Compilation, plan: Solution, seed: int
) -> list[int]:
    """Bounds on plans in which people are only counted, after little work."""
    bounds = [alone_bound(compilation.arrays)]
    for limit in (0.001, 0.02, 0.2):
        for hint in (plan, None):
            result = solve(
                compilation,
                hint=hint,
                seconds=LONG,
                workers=1,
                seed=seed,
                deterministic_limit=limit,
            )
            if result.bound is not None:
                bounds.append(result.bound)
    return bounds


def bound_with_names(compilation: Compilation, plan: Solution, seed: int) -> int:
    """The bound that a planner states after little work; naming may have raised it."""
    alone = alone_bound(compilation.arrays)
    naming = name_people(compilation, build_roster(compilation), plan)
    if naming.clashes:
        return alone
    effort = Effort(LONG, 0.02, 1, seed)
    done = tighten(compilation, Settled(plan, naming, 0), alone, effort, lambda: False)
    assert done.settled.solution.values[0] <= plan.values[0]
    return done.bound


@dataclass
class Compared:
    """What a run over bounds came to."""

    books: int = 0
    positive: int = 0
    nameless: int = 0  # the best plan cannot be named: another is the measure


def compare_bounds(seeds: range) -> Compared:
    """Hold stated bounds against proven optima and against checked plans with names."""
    compared = Compared()
    for seed in seeds:
        compilation = small_book(seed)
        plan = random_plan(compilation, Random(seed))
        if plan is None:
            continue
        best = solve(compilation, hint=None, seconds=LONG, workers=1)
        assert best.proven, seed
        assert best.solution is not None
        optimum = best.solution.values[0]
        assert best.bound == optimum <= plan.values[0], seed
        assert max(bounds_without_names(compilation, plan, seed)) <= optimum, seed
        named = violations(compilation, best.solution)
        if named is None:
            compared.nameless += 1
            done, _ = find_plan(compilation, Request(Budget(None, 40_000)))
            named = violations(compilation, done.settled.solution)
            optimum = done.settled.solution.values[0]
        assert named == [], seed
        assert bound_with_names(compilation, plan, seed) <= optimum, seed
        compared.books += 1
        compared.positive += optimum > 0
    return compared


def test_no_stated_bound_exceeds_the_optimum() -> None:
    """Whatever little work went into a bound, it is at most the proven optimum."""
    compared = compare_bounds(range(25))
    assert compared.books >= 20
    assert compared.positive >= 10


@pytest.mark.slow
def test_no_stated_bound_exceeds_the_optimum_on_many() -> None:
    """The same on 500 more books."""
    compared = compare_bounds(range(25, 560))
    assert compared.books >= 500
    assert compared.positive >= 200
    assert compared.nameless <= 50
