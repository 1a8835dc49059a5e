"""Solve a classical instance with the core that plans a yard.

    hull = Project("hull", (Activity(3, (("crane", 1),), (1,)), Activity(2)), due=5)
    deck = Project("deck", (Activity(4, (("crane", 1),)),), release=1, weight=2, due=6)
    shop = Instance((("crane", 1),), (hull, deck))
    result = solve_instance(shop, "tardiness", effort=Effort(seconds=5))

`result.value` is then 2 and `result.status` "proven": the hull has the crane from 0 to
3, the deck from 3 to 7, one unit late at weight 2. A project may have any number of
activities, demands and followers.
"""

from __future__ import annotations

import time
from dataclasses import dataclass
from typing import TYPE_CHECKING

from scheduler.bounds import alone_bound
from scheduler.classical.bounds import makespan_bound
from scheduler.classical.instance import Instance
from scheduler.classical.lists import search_lists
from scheduler.classical.problem_of import Between, Goal, problem_of
from scheduler.classical.project_search import search_projects
from scheduler.classical.searching import first_plan, search_plan
from scheduler.compiling.compile import Compilation, compile_problem
from scheduler.cp_model.model import solve
from scheduler.searching.search import Budget

if TYPE_CHECKING:
    from scheduler.solution import Solution

SEARCH_SHARE = 0.2  # of the seconds; the constraint model gets the rest
LARGEST = 60_000_000  # operations x ticks that the constraint model is asked with


@dataclass(frozen=True, slots=True)
class Effort:
    """What may be spent: seconds, a number of schedules, or both.

    Seconds alone are shared between search and constraint model. With schedules
    alone, only the search works, and its result is the same for a seed. With both,
    the constraint model has the seconds after that many schedules.
    """

    seconds: float | None = 10.0
    schedules: int | None = None
    seed: int = 0
    workers: int = 2


@dataclass(frozen=True, slots=True)
class Result:
    """The best plan found, what no plan can beat, and whether that is the same.

    `starts` gives the start of each activity by project. Times are in units from 0.
    """

    value: int
    bound: int
    starts: dict[str, tuple[int, ...]]
    schedules: int
    seconds: float
    method: str

    @property
    def status(self) -> str:
        """`proven` where nothing better exists, else `bounded`."""
        return "proven" if self.value == self.bound else "bounded"


def solve_instance(
    instance: Instance,
    goal: Goal = "makespan",
    between: Between = "free",
    *,
    effort: Effort | None = None,
) -> Result:
    """Search for a good plan and for a proof that it is the best.

    See `problem_of` for goals and for what may lie between activities.

    Raises
    ------
    UsageError
        If the instance can have no plan.
    NoPlan
        If none was found.
    """
    effort = effort or Effort()
    began = time.monotonic()
    compilation = _fitting(instance, goal, between)
    bound = alone_bound(compilation.arrays)
    if goal == "makespan":
        bound = max(bound, makespan_bound(instance))
    found, schedules = _search(instance, compilation, goal, between, effort, bound)
    method = "search"
    size = len(compilation.operations) * compilation.arrays.ticks
    value = found.values[0]
    if effort.seconds is not None and value > bound and size <= LARGEST:
        spent = time.monotonic() - began if effort.schedules is None else 0.0
        result = solve(
            compilation,
            hint=found,
            seconds=max(0.01, effort.seconds - spent),
            workers=effort.workers,
            seed=effort.seed,
        )
        bound = max(bound, result.bound or 0)
        if result.solution is not None and result.solution.values[0] < value:
            found, method = result.solution, "constraint model"
            value = found.values[0]
    seconds = time.monotonic() - began
    starts = starts_of(instance, compilation, found, between)
    return Result(value, bound, starts, schedules, seconds, method)


def starts_of(
    instance: Instance, compilation: Compilation, found: Solution, between: Between
) -> dict[str, tuple[int, ...]]:
    """Start of each activity in a plan, by project."""
    form = "{0}.{1}/work" if between == "free" else "{0}/{1}"
    return {
        project.name: tuple(
            int(found.start[compilation.index_of[form.format(project.name, place)]])
            for place in range(1, len(project.activities) + 1)
        )
        for project in instance.projects
    }


def _fitting(instance: Instance, goal: Goal, between: Between) -> Compilation:
    """Compile an instance; no plan of the least makespan outlasts a first plan."""
    compilation = compile_problem(problem_of(instance, goal, between))
    if goal != "makespan":
        return compilation
    latest = int(first_plan(compilation).finish.max(initial=0))
    return compile_problem(problem_of(instance, goal, between, latest=latest))


def _search(
    instance: Instance,
    compilation: Compilation,
    goal: Goal,
    between: Between,
    effort: Effort,
    bound: int,
) -> tuple[Solution, int]:
    """Activities placed one by one where that is allowed, else a yard's search."""
    budget, seed = Budget(None, effort.schedules), effort.seed
    if effort.schedules is None:
        budget = Budget(SEARCH_SHARE * (effort.seconds or 0.0))
    if between == "free":
        if goal == "makespan" and all(one.release == 0 for one in instance.projects):
            return search_projects(instance, compilation, budget, bound, seed)
        return search_lists(compilation, budget, bound, seed)
    return search_plan(compilation, budget, bound, seed=seed, workers=effort.workers)
