"""The event-driven decoder against the independent checker, on random yards."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest

from scheduler.compiling.compile import Compilation, compile_problem
from scheduler.decoding.decoder import due_positions, facts_state
from scheduler.problem import Problem
from scheduler.searching.alone import alone_figures
from scheduler.searching.dispatch import Dispatched, Setting, dispatch
from scheduler.solution import snapshot
from tests.scheduler.random_facts import in_the_midst
from tests.scheduler.random_problems import random_problem
from tests.scheduler.shop_rules import RULES
from tests.scheduler.sound_plans import violations

SETTINGS = (
    Setting(1.0, 0.0, 0.0, 2.0, False),
    Setting(0.5, 0.2, 0.5, 1.0, False),
    Setting(1.0, 1.0, 4.0, 0.5, True),
)


def plan_of(compilation: Compilation, setting: Setting) -> Dispatched | None:
    """The plan of a setting; None where facts clash, or all came to wait."""
    a = compilation.arrays
    facts, sound = facts_state(a)
    if not sound:
        return None
    return dispatch(a, facts, alone_figures(a, facts), setting, due_positions(a))


def checked(problem: Problem) -> int:
    """Check the plans of all settings; returns how many there were to check."""
    compilation = compile_problem(problem)
    count = 0
    for setting in SETTINGS:
        found = plan_of(compilation, setting)
        if found is not None:
            told = violations(compilation, snapshot(compilation.arrays, found.plan))
            assert not told, (setting, told)
            count += told is not None
    return count


def test_plans_keep_every_rule() -> None:
    """Whatever the setting, a plan passes the checker; most boats do find one."""
    assert sum(checked(random_problem(seed, boats=4)) for seed in range(40)) >= 80


def test_plans_around_facts_keep_every_rule() -> None:
    """Done, begun and pinned work stands, and the rest fits around it."""
    drawn = [random_problem(seed, facts=True) for seed in range(40)]
    assert sum(checked(one) for one in drawn) >= 60


@pytest.mark.parametrize("name", RULES)
def test_plans_keep_the_rules_of_the_shop(name: str) -> None:
    """With each further rule, without facts and in the midst of a plan."""
    count = 0
    for seed in range(8):
        problem = RULES[name](random_problem(seed), seed)
        count += checked(problem)
        count += checked(in_the_midst(problem, Random(seed)))
    assert count >= 16


def test_the_same_setting_gives_the_same_plan() -> None:
    """Decoding has no memory of what was decoded before."""
    compilation = compile_problem(random_problem(5, boats=4))
    found = [plan_of(compilation, SETTINGS[k]) for k in (0, 1, 0)]
    assert found[0] is not None
    assert found[2] is not None
    assert found[0].values == found[2].values
    assert np.array_equal(found[0].plan.start, found[2].plan.start)
