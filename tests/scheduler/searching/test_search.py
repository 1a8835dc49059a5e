"""The search: repeatable, never worse than its rules, true to what it reports."""

from __future__ import annotations

import numpy as np
import pytest

from scheduler.compiling.compile import compile_problem
from scheduler.decoding.decoder import VALUES, decode, due_positions, new_state
from scheduler.searching.search import Budget, facts_of, search
from tests.scheduler.random_problems import random_problem


@pytest.mark.parametrize("seed", range(6))
def test_values_are_those_of_the_choices(seed: int) -> None:
    """Decoding the returned choices from scratch gives the reported values."""
    a = compile_problem(random_problem(seed, boats=6, facts=seed % 2 == 1)).arrays
    facts = facts_of(a)
    found = search(a, facts, Budget(None, 300), seed=seed)
    state, value = new_state(a), np.zeros(VALUES, np.int64)
    for choices, values in zip(found.choices, found.values, strict=True):
        assert decode(a, facts, state, choices, due_positions(a), value)
        assert tuple(value) == values


def test_a_work_budget_is_repeatable_with_one_worker_and_two() -> None:
    """With a number of decodes, seed and chains decide alone."""
    a = compile_problem(random_problem(5, boats=8)).arrays
    runs = [
        search(a, facts_of(a), Budget(None, 400), seed=3, workers=workers)
        for workers in (1, 2, 2)
    ]
    assert runs[0].values == runs[1].values == runs[2].values
    orders = [[list(one.order) for one in run.choices] for run in runs]
    assert orders[0] == orders[1] == orders[2]
    assert runs[0].decodes == runs[1].decodes


@pytest.mark.parametrize("seed", range(6))
def test_the_search_is_never_worse_than_a_rule(seed: int) -> None:
    """What comes back is at least as good as every dispatch rule."""
    a = compile_problem(random_problem(seed, boats=6)).arrays
    found = search(a, facts_of(a), Budget(None, 200), seed=seed)
    assert found.rules
    assert found.values[0][0] <= min(found.rules.values())
    assert found.bound <= found.values[0][0]


def test_a_stopped_search_still_brings_a_plan() -> None:
    """Ctrl-C keeps the best found so far."""
    a = compile_problem(random_problem(2, boats=6)).arrays
    found = search(
        a, facts_of(a), Budget(None, 100000), seed=1, should_stop=lambda: True
    )
    assert found.choices
    assert found.decodes < 1000


def test_event_driven_plans_are_tried_and_repeatable() -> None:
    """A budget that holds some makes the same ones with one worker and two."""
    a = compile_problem(random_problem(5, boats=4)).arrays
    facts = facts_of(a)
    one = search(a, facts, Budget(None, 900), workers=1)
    two = search(a, facts, Budget(None, 900), workers=2)
    assert one.whole
    assert [plan.values for plan in one.whole] == [plan.values for plan in two.whole]
    assert one.values == two.values
    assert one.rules["event-driven"] <= one.whole[0].values[0]
