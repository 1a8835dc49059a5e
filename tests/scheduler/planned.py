"""Plans of random problems, made by the real decoder and naming, for several tests."""

from __future__ import annotations

from typing import Any

import numpy as np

from scheduler.answer import build_answer
from scheduler.bounds import alone_bound
from scheduler.compiling.compile import Compilation, compile_problem
from scheduler.decoding.decoder import open_boats
from scheduler.decoding.placing import Choices
from scheduler.naming.settle import Settled, settle
from scheduler.plan import Plan
from scheduler.plan_file import plan_to_json
from scheduler.problem import Problem
from scheduler.searching.search import facts_of


def random_choices(compilation: Compilation, seed: int) -> Choices:
    """An order of boats, crews and delays drawn at random."""
    a = compilation.arrays
    rng = np.random.default_rng(seed)
    boats = open_boats(a)
    order = np.concatenate(
        [rng.permutation(boats[: a.leading]), rng.permutation(boats[a.leading :])]
    ).astype(np.int32)
    crew = np.zeros(len(a.boat_of), np.int8)
    for op in np.flatnonzero(rng.random(len(crew)) < 0.5):
        crew[op] = rng.integers(a.crew_min[op], a.crew_max[op] + 1)
    delay = np.zeros(len(a.boat_of), np.int32)
    for op in np.flatnonzero(rng.random(len(delay)) < 0.1):
        delay[op] = a.now + rng.integers(0, a.ticks_per_day * 3)
    return Choices(order, crew, delay)


def settled(compilation: Compilation, seed: int) -> Settled | None:
    """A named plan of random choices, None where they lead to none."""
    choices = random_choices(compilation, seed)
    return settle(compilation, facts_of(compilation.arrays), choices)


def document(compilation: Compilation, found: Settled) -> dict[str, Any]:
    """The plan file of a named plan, as objects."""
    answer = build_answer(
        compilation,
        found.solution,
        found.naming,
        bound=alone_bound(compilation.arrays),
    )
    plan = Plan(
        compilation.stated, answer, "2027-01-01T00:00:00+00:00", {}, 0, {}, {}, "test"
    )
    return plan_to_json(plan)


def compiled(problem: Problem) -> Compilation:
    """Compile a problem (named here so that tests read alike)."""
    return compile_problem(problem)
