"""The decoder against the independent checker, on random yards."""

from __future__ import annotations

from types import SimpleNamespace
from typing import cast

import numpy as np
import pytest

from scheduler.checker import check
from scheduler.compiling.arrays import FAR, Arrays
from scheduler.compiling.compile import compile_problem
from scheduler.decoding.decoder import (
    VALUES,
    copy_state,
    decode,
    due_positions,
    facts_state,
    new_state,
)
from scheduler.searching.rules import due_tick
from scheduler.searching.search import facts_of
from scheduler.solution import snapshot
from tests.scheduler.planned import document, random_choices, settled
from tests.scheduler.random_problems import random_problem


@pytest.mark.parametrize("seed", range(60))
def test_decoded_plans_keep_every_rule(seed: int) -> None:
    """Whatever order, crews and delays are chosen, a plan passes the checker."""
    compilation = compile_problem(random_problem(seed))
    plans = [settled(compilation, draw) for draw in range(3)]
    assert any(plan is not None for plan in plans)
    for plan in plans:
        if plan is not None:
            assert check(document(compilation, plan)) == []


@pytest.mark.parametrize("seed", range(40))
def test_plans_around_facts_keep_every_rule(seed: int) -> None:
    """Done, begun and pinned work stands, and the rest fits around it."""
    compilation = compile_problem(random_problem(seed, facts=True))
    for draw in range(3):
        plan = settled(compilation, draw)
        if plan is not None:
            assert check(document(compilation, plan)) == []


@pytest.mark.parametrize("seed", range(40))
def test_decoded_plans_need_no_cut_without_facts(seed: int) -> None:
    """People counted by kind can always be named, at the first go."""
    compilation = compile_problem(random_problem(seed))
    for draw in range(3):
        plan = settled(compilation, draw)
        if plan is not None:
            assert plan.cuts == 0


@pytest.mark.parametrize("seed", range(10))
def test_the_same_choices_give_the_same_plan(seed: int) -> None:
    """Decoding has no memory of what was decoded before."""
    a = compile_problem(random_problem(seed, boats=4)).arrays
    compilation = compile_problem(random_problem(seed, boats=4))
    facts, state = facts_of(a), new_state(a)
    value, due = np.zeros(VALUES, np.int64), due_positions(a)
    first = random_choices(compilation, 1)
    results = []
    for choices in (first, random_choices(compilation, 2), first):
        if decode(a, facts, state, choices, due, value):
            results.append(snapshot(a, state))
        else:
            results.append(None)
    before, after = results[0], results[2]
    assert (before is None) == (after is None)
    if before is not None and after is not None:
        assert (before.start == after.start).all()
        assert before.values == after.values


def test_copying_a_state_restores_it() -> None:
    """A copied state decodes as the one that it was copied from."""
    a = compile_problem(random_problem(3, boats=3)).arrays
    facts, sound = facts_state(a)
    state = new_state(a)
    copy_state(facts, state, 0)
    assert sound
    assert (state.free == facts.free).all()
    assert (state.taken_count == facts.taken_count).all()


def test_a_due_day_may_end_with_the_axis() -> None:
    """The last working day counts although no later tick of the axis does."""
    days = SimpleNamespace(
        day_index=np.array([0, 0, 1, 1], np.int32),  # ends at ticks 1 and 3
        boat_due=np.array([-1, 0, 1, FAR], np.int32),
        position_at=np.arange(4, dtype=np.int32),
        ticks=3,
    )
    arrays = cast("Arrays", days)
    assert due_positions(arrays).tolist() == [0, 1, 3, FAR]
    assert due_tick(arrays).tolist() == [0, 1, 3, FAR]
