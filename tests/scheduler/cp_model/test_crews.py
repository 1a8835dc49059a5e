"""People counted by subset in the constraint model, against a count at every tick."""

from __future__ import annotations

from itertools import pairwise
from random import Random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from ortools.sat.python import cp_model

from scheduler.compiling.compile import Compilation, compile_problem
from scheduler.cp_model import crews
from scheduler.cp_model.crews import NO_LIMIT, fewest_steps
from scheduler.cp_model.model import solve
from scheduler.cp_model.setting import make_setting
from scheduler.solution import Solution
from tests.scheduler.random_facts import random_plan
from tests.scheduler.random_problems import random_problem
from tests.scheduler.shop_rules import apprentices

LONG = 60.0  # seconds: only a stop for a machine that hangs
EFFORT = 0.1  # deterministic time
LIMITS = st.tuples(st.integers(0, 4), st.one_of(st.integers(0, 3), st.just(NO_LIMIT)))
DOMAIN = cp_model.Domain.from_values([0, 1, 4, 5, 6, 7])


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


@given(st.lists(LIMITS, min_size=1, max_size=25))
def test_steps_keep_between_limits(limits: list[tuple[int, int]]) -> None:
    """Every tick is in one stretch, with a number between its limits."""
    at_least = np.array([least for least, _ in limits])
    at_most = np.array([min(least + more, NO_LIMIT) for least, more in limits])
    pieces = list(fewest_steps(at_least, at_most))
    ticks = [tick for start, end, _ in pieces for tick in range(start, end)]
    assert ticks == list(range(len(limits)))
    for start, end, there in pieces:
        assert (at_least[start:end] <= there).all()
        assert (there <= at_most[start:end]).all()
        assert there in at_least[start:end]
    for (start, _, _), (_, end, _) in pairwise(pieces):
        assert at_least[start:end].max() > at_most[start:end].min()


def test_any_number_does_where_none_matters() -> None:
    """Stretches in which nobody is asked for join those beside them."""
    at_least = np.array([2, 2, 0, 0, 3, 1, 2])
    at_most = np.array([2, 2, NO_LIMIT, NO_LIMIT, 3, NO_LIMIT, 2])
    assert list(fewest_steps(at_least, at_most)) == [(0, 4, 2), (4, 6, 3), (6, 7, 2)]


@pytest.mark.parametrize("seed", range(12))
def test_fewer_steps_change_no_optimum(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The best plan is worth the same where every count of people is stated."""
    problem = random_problem(seed, boats=3, operations=9, calendars="mixed")
    compilation = compile_problem(problem)
    few = solve(compilation, hint=None, seconds=60, workers=1)
    monkeypatch.setattr(crews, "_counted_elsewhere", nowhere_else)
    monkeypatch.setattr(crews, "_asked_at_most", everybody)
    all_of_them = solve(compilation, hint=None, seconds=60, workers=1)
    assert few.status == all_of_them.status
    assert few.bound == all_of_them.bound


def nowhere_else(counts: object, one: crews.Count) -> np.ndarray:
    """As if the same work counted nowhere else."""
    del counts
    return np.full(len(one.axis), NO_LIMIT)


def everybody(axis: crews.TickAxis, *rest: object) -> np.ndarray:
    """As if any number of people could be asked for."""
    del rest
    return np.full(len(axis), NO_LIMIT)


def test_the_solver_agrees_on_a_profile() -> None:
    """Starts that fit a profile are the same with fewer steps."""
    supply = np.array([2, 1, 2, 0, 1, 2, 2, 3, 3, 0])
    asked = np.array([2, 2, 2, 0, 2, 2, 2, 2, 2, 0])
    at_most = np.where(asked <= supply, NO_LIMIT, supply)
    fits = {}
    for name, pieces in (
        ("all", [(tick, tick + 1, int(n)) for tick, n in enumerate(supply)]),
        ("few", list(fewest_steps(np.minimum(asked, supply), at_most))),
    ):
        model = cp_model.CpModel()
        capacity = max(there for _, _, there in pieces)
        starts = [model.new_int_var_from_domain(DOMAIN, "") for _ in range(2)]
        works = [model.new_fixed_size_interval_var(one, 2, "") for one in starts]
        taken = [model.new_fixed_size_interval_var(s, e - s, "") for s, e, _ in pieces]
        gone = [capacity - there for _, _, there in pieces]
        model.add_cumulative([*works, *taken], [1, 1, *gone], capacity)
        fits[name] = every_solution(model, starts)
    assert fits["few"] == fits["all"]
    assert fits["all"]


def every_solution(model: cp_model.CpModel, starts: list) -> set[tuple[int, ...]]:
    """All values that some variables can have together."""
    found = set()

    class Keep(cp_model.CpSolverSolutionCallback):
        def on_solution_callback(self) -> None:
            found.add(tuple(self.value(one) for one in starts))

    solver = cp_model.CpSolver()
    solver.parameters.enumerate_all_solutions = True
    assert solver.solve(model, Keep()) == cp_model.OPTIMAL
    return found
