"""Rounds of reinsertion: never worse, repeatable, and nameable."""

from __future__ import annotations

import numpy as np
import pytest

from scheduler.checker import check
from scheduler.compiling.compile import compile_problem
from scheduler.decoding.decoder import VALUES, due_positions, evaluate
from scheduler.naming.settle import settle_plan
from scheduler.searching.alone import alone_figures
from scheduler.searching.dispatch import Setting, dispatch
from scheduler.searching.improve import improve, remaining_budget
from scheduler.searching.search import Budget, Found, facts_of, search
from tests.scheduler.planned import document
from tests.scheduler.random_problems import random_problem


@pytest.mark.parametrize("facts", [False, True])
@pytest.mark.parametrize("seed", range(8))
def test_improved_plans_keep_every_rule(seed: int, facts: bool) -> None:
    """They are no worse than what was found, true to their values, and pass."""
    compilation = compile_problem(random_problem(seed, boats=6, facts=facts))
    a = compilation.arrays
    committed = facts_of(a)
    found = search(a, committed, Budget(None, 60), seed=seed)
    improved = improve(a, committed, found, Budget(None, 60), seed=seed)
    value = np.zeros(VALUES, np.int64)
    assert len(improved) == len(found.choices)
    assert improved[0].values <= found.values[0]
    for one in improved:
        evaluate(a, one.plan, due_positions(a), value)
        assert tuple(value) == one.values
        settled = settle_plan(compilation, one.plan, one.choices)
        assert facts or settled is not None
        if settled is not None:
            assert check(document(compilation, settled)) == []


def test_a_work_budget_is_repeatable_with_one_worker_and_two() -> None:
    """With a number of decodes, the seed alone decides."""
    a = compile_problem(random_problem(5, boats=8)).arrays
    committed = facts_of(a)
    found = search(a, committed, Budget(None, 40), seed=3)
    runs = [
        improve(a, committed, found, Budget(None, 200), seed=3, workers=workers)
        for workers in (1, 2, 2)
    ]
    values = [[one.values for one in run] for run in runs]
    assert values[0] == values[1] == values[2]
    assert (runs[0][0].plan.start == runs[1][0].plan.start).all()


def test_no_budget_improves_nothing() -> None:
    """And neither does a book without an open boat."""
    a = compile_problem(random_problem(2, boats=4)).arrays
    committed = facts_of(a)
    found = search(a, committed, Budget(None, 20), seed=1)
    assert improve(a, committed, found, Budget(None, 0)) == []


def test_a_stopped_improvement_brings_what_it_was_given() -> None:
    """Ctrl-C keeps the best found so far."""
    a = compile_problem(random_problem(2, boats=6)).arrays
    committed = facts_of(a)
    found = search(a, committed, Budget(None, 40), seed=1)
    improved = improve(
        a, committed, found, Budget(None, 10**6), should_stop=lambda: True
    )
    assert improved[0].values == found.values[0]


def test_what_the_search_leaves_goes_to_reinsertion() -> None:
    """A search that ended early leaves its seconds, or its decodes."""
    found = Found([], [], {}, None, 0, decodes=300, seconds=4.0)
    timed = remaining_budget(Budget(14.0), Budget(6.0), found)
    assert timed.seconds == pytest.approx(16.0)
    assert remaining_budget(Budget(14.0), Budget(0.0), found).seconds == 0.0
    worked = remaining_budget(Budget(None, 700), Budget(None, 300), found)
    assert worked.work == 700
    late = Found([], [], {}, None, 0, decodes=900, seconds=15.0)
    assert remaining_budget(Budget(14.0), Budget(6.0), late).seconds == 6.0
    assert remaining_budget(Budget(None, 700), Budget(None, 300), late).work == 300


def test_reinsertion_goes_on_from_a_plan_without_an_order() -> None:
    """A plan of the event-driven decoder is taken where it is the better one."""
    a = compile_problem(random_problem(5, boats=4)).arrays
    facts = facts_of(a)
    due = due_positions(a)
    setting = Setting(1.0, 0.2, 0.5, 2.0, False)
    plan = dispatch(a, facts, alone_figures(a, facts), setting, due)
    assert plan is not None
    found = Found([], [], {}, None, 0, whole=[plan])
    improved = improve(a, facts, found, Budget(None, 20), workers=1)
    assert improved
    assert improved[0].values <= plan.values
