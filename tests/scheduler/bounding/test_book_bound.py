"""Bounds from people, molds and places together never exceed what a plan reaches."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import numpy as np
import pytest

from scheduler.bounding.ascent import evaluate, relax
from scheduler.bounding.book_bound import bound_book
from scheduler.bounding.pricing import new_scratch
from scheduler.bounds import alone_bound
from scheduler.compiling.compile import Compilation, compile_problem
from scheduler.cp_model.model import solve
from scheduler.problem import Problem
from tests.scheduler.planned import settled
from tests.scheduler.random_facts import random_plan
from tests.scheduler.random_problems import random_problem
from tests.scheduler.random_yards import MONDAY
from tests.scheduler.shop_rules import RULES, Rule

LONG = 120.0  # seconds: only a stop for a machine that hangs


def random_price_bound(compilation: Compilation, seed: int) -> float:
    """The greatest bound over a few prices drawn at random, small and large."""
    relaxation = relax(compilation, 1 + seed % 3)
    assert relaxation is not None
    rng = np.random.default_rng(seed)
    shape = relaxation.supply.capacity.shape
    scratch = new_scratch(compilation.arrays, 1)
    bounds = []
    for size in (0.001, 0.01, 0.1, 1.0):
        falling = np.sort(rng.random(shape), axis=1)[:, ::-1] * size
        some = rng.random((shape[0], 1)) < 0.3
        for prices in (falling * some, falling * (rng.random(shape) < 0.2)):
            bounds.append(evaluate(relaxation, prices, 1, scratch).bound)
    return max(bounds)


def pressed(problem: Problem) -> Problem:
    """The same book with every boat promised for the first day."""
    orders = tuple(
        replace(one, promised=MONDAY.isoformat(), weight=max(1, one.weight))
        for one in problem.orders
    )
    return replace(problem, orders=orders)


def compare(seeds: range, rule: Rule | None = None) -> tuple[int, int]:
    """Hold bounds against proven optima; returns books, and bounds above `alone`."""
    books = raised = 0
    for seed in seeds:
        boats, operations = ((2, 4), (3, 4), (6, 3), (3, 6), (7, 2))[seed % 5]
        facts = rule is None and seed % 4 == 0
        problem = random_problem(seed, boats, operations, facts=facts)
        if rule is not None:
            problem = rule(problem, seed)
        compilation = compile_problem(pressed(problem) if seed % 2 else problem)
        plan = random_plan(compilation, Random(seed))
        if plan is None:
            continue
        best = solve(compilation, hint=None, seconds=LONG, workers=1)
        assert best.proven, seed
        assert best.solution is not None
        optimum = best.solution.values[0]
        found = bound_book(compilation, plan.values[0])
        assert found is not None
        assert found.value <= optimum, seed
        assert random_price_bound(compilation, seed) <= optimum + 1e-6, seed
        alone = alone_bound(compilation.arrays)
        assert found.value >= alone, seed
        books += 1
        raised += found.value > alone
    return books, raised


def test_no_bound_exceeds_the_optimum() -> None:
    """Found by steps or at prices drawn at random, a bound is at most the optimum."""
    books, raised = compare(range(30))
    assert books >= 25
    assert raised >= 3, raised


@pytest.mark.slow
def test_no_bound_exceeds_the_optimum_on_many() -> None:
    """The same on 500 more books."""
    books, raised = compare(range(30, 560))
    assert books >= 480
    assert raised >= 50


def test_no_bound_exceeds_the_optimum_with_several_rules() -> None:
    """The same where several of the rules of the shop bind at once."""
    books, _ = compare(range(4), RULES["several at once"])
    assert books >= 3


@pytest.mark.slow
@pytest.mark.parametrize("name", RULES)
def test_no_bound_exceeds_the_optimum_with_a_rule(name: str) -> None:
    """The same on more books of each rule."""
    books, _ = compare(range(8, 28), RULES[name])
    assert books >= 10


@pytest.mark.parametrize("seed", range(60, 90))
def test_no_plan_is_better_than_any_prices_say(seed: int) -> None:
    """On larger books, no plan drawn at random is below a bound at random prices."""
    compilation = compile_problem(random_problem(seed, facts=seed % 3 == 0))
    plans = [settled(compilation, draw) for draw in range(3)]
    values = [plan.solution.values[0] for plan in plans if plan is not None]
    if values:
        assert random_price_bound(compilation, seed) <= min(values) + 1e-6


def test_the_bound_is_the_same_each_time() -> None:
    """The same book and plan value give the same bound and reasons."""
    compilation = compile_problem(random_problem(7, 4, 8))
    assert bound_book(compilation, 30) == bound_book(compilation, 30)
