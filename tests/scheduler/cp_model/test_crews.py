"""People counted by subset in the constraint model, against a count at every tick."""

from __future__ import annotations

from random import Random

import numpy as np

from scheduler.compiling.compile import Compilation, compile_problem
from scheduler.cp_model.model import solve
from scheduler.cp_model.setting import make_setting
from scheduler.solution import Solution
from tests.scheduler.random_facts import random_plan
from tests.scheduler.random_problems import random_problem
from tests.scheduler.shop_rules import apprentices

LONG = 60.0  # seconds: only a stop for a machine that hangs
EFFORT = 0.1  # deterministic time


def people_left(compilation: Compilation, solution: Solution) -> np.ndarray:
    """People of every subset that a plan leaves: [subsets, positions]."""
    a, setting = compilation.arrays, make_setting(compilation, None, None)
    left = setting.people.copy()
    for op in np.flatnonzero((solution.length > 0) & (a.skill >= 0)).tolist():
        base = int(a.track_at[a.track[op]]) + int(solution.index[op])
        worked = a.open_position[base : base + int(solution.length[op])]
        crew, leads = int(solution.crew[op]), int(a.leads[op])
        asked = crew * setting.unit[:, a.skill[op]]
        asked = asked + min(crew, leads) * setting.leads[:, a.skill[op]]
        left[:, worked] -= asked[:, None]
    return left


def test_apprentices_and_their_leads_are_counted_apart() -> None:
    """No plan of the model asks for more people of any subset than there are."""
    solved = 0
    for seed in range(30):
        drawn = random_problem(seed, boats=4, operations=12)
        compilation = compile_problem(apprentices(drawn, seed))
        plan = random_plan(compilation, Random(seed))
        if plan is None or not compilation.arrays.leads.any():
            continue
        result = solve(
            compilation,
            hint=plan,
            seconds=LONG,
            workers=1,
            deterministic_limit=EFFORT,
        )
        if result.solution is not None and result.solution is not plan:
            assert people_left(compilation, result.solution).min() >= 0, seed
            solved += 1
    assert solved > 5
