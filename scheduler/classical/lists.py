"""A search over lists of activities, each list a schedule of the compiled decoder.

Moves of the yard's search mostly put an activity before one that it follows, which no
list may. Here two lists are crossed so that what comes first in both comes first in the
child, and every list keeps the order of activities. For the makespan each schedule is
also decoded backward in time and forward again (justification, as in the literature on
projects under resource limits); every pass counts as a schedule.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from heapq import heapify, heappop, heappush
from typing import TYPE_CHECKING, Any

import numpy as np

from scheduler.classical.instance import END, Instance, Project
from scheduler.classical.problem_of import Goal, problem_of
from scheduler.classical.searching import decoded, tails
from scheduler.compiling.compile import Compilation, compile_problem
from scheduler.decoding.decoder import (
    VALUES,
    decode,
    due_positions,
    new_state,
)
from scheduler.searching.chain import new_choices
from scheduler.searching.search import Budget, facts_of, warm_up

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from scheduler.compiling.arrays import Arrays
    from scheduler.decoding.placing import Choices
    from scheduler.solution import Solution

    Ints = NDArray[np.int64]

NO_PLAN = 2**60  # the value of a list that does not fit the axis
MOST_LISTS, FEWEST_LISTS = 60, 8  # of a population
PASSES_A_LIST = 60  # of the budget, for each list of the population
SWAP_SHARE = 0.05  # of the places of a child: neighbors change places
PATIENCE = 12  # generations without a gain, then the population is drawn anew
RANDOMNESS = 0.3  # of a first list: how far from the order by latest finish


Decoder = Callable[["Ints"], tuple[int, "Ints", "Ints"]]
"""From a list to its value, and to start and finish of each activity."""


@dataclass(frozen=True)
class Scored:
    """A list with what its schedule is worth."""

    value: int
    order: Ints


@dataclass
class _Passes:
    """Decodes lists forward and backward, and counts."""

    forward: Decoder
    backward: Decoder | None
    follows: NDArray[np.bool_]  # [activity, activity]: the second follows the first
    bound: int
    budget: Budget
    done: int = 0
    began: float = 0.0
    best: Scored | None = None

    @property
    def is_over(self) -> bool:
        """Whether the budget is spent, or nothing better is possible."""
        if self.best is not None and self.best.value <= self.bound:
            return True
        if self.budget.work is not None:
            return self.done >= self.budget.work
        spent = time.monotonic() - self.began
        return self.done > 0 and spent >= (self.budget.seconds or 0.0)

    def score(self, order: Ints) -> Scored:
        """The schedule of a list, justified where that is possible."""
        value, start, finish = self._pass(order)
        if value == NO_PLAN:
            return Scored(value, order)
        best = Scored(value, order[np.argsort(start[order], kind="stable")])
        if self.backward is not None and not self.is_over:
            late = order[np.argsort(finish[order], kind="stable")][::-1]
            self.done += 1
            value, _, ends = self.backward(late)
            if value != NO_PLAN and not self.is_over:
                # what ends last backward in time starts first forward
                early = late[::-1]
                again = early[np.argsort(-ends[early], kind="stable")]
                value, start, _ = self._pass(again)
                if value <= best.value:
                    justified = again[np.argsort(start[again], kind="stable")]
                    best = Scored(value, justified)
        return best

    def _pass(self, order: Ints) -> tuple[int, Ints, Ints]:
        self.done += 1
        found = self.forward(order)
        if self.best is None or found[0] < self.best.value:
            self.best = Scored(found[0], order.copy())
        return found


def search_lists(
    instance: Instance,
    compilation: Compilation,
    goal: Goal,
    budget: Budget,
    bound: int,
    seed: int,
) -> tuple[Solution, int]:
    """The best plan found, and how many schedules were decoded for it.

    The instance must have been written with any time between activities. The search
    ends where a plan of the bound is found; with a number of schedules it is the same
    again for a seed.
    """
    a = compilation.arrays
    activities = np.array(
        [
            place
            for place, name in enumerate(compilation.operations)
            if not name.endswith(f"/{END}")
        ]
    )
    passes = _Passes(
        _decoder(a, activities), None, _follows(a, activities), bound, budget
    )
    if goal == "makespan" and all(one.release == 0 for one in instance.projects):
        passes.backward = _mirror(instance, compilation, activities)
    length = a.length[a.length_at[:-1]]
    rng = np.random.default_rng(np.random.SeedSequence(seed))
    passes.began = time.monotonic()
    while not passes.is_over:
        _evolve(passes, rng, (length - tails(a))[activities])
    assert passes.best is not None
    return decoded(compilation, _choices(a, activities, passes.best.order)), passes.done


def _evolve(passes: _Passes, rng: np.random.Generator, latest: Ints) -> None:
    """Cross the lists of a population until it gains no more or the budget ends."""
    size = MOST_LISTS
    if passes.budget.work is not None:
        most = passes.budget.work // PASSES_A_LIST
        size = max(FEWEST_LISTS, min(MOST_LISTS, most))
    lists = [
        passes.score(one)
        for one in _first_lists(passes, rng, latest, size)
        if not passes.is_over
    ]
    gained, best = 0, min(one.value for one in lists)
    while gained < PATIENCE and not passes.is_over:
        children: list[Scored] = []
        for mother, father in rng.permutation(len(lists))[: size // 2 * 2].reshape(
            -1, 2
        ):
            for one, other in ((mother, father), (father, mother)):
                if not passes.is_over:
                    child = _cross(lists[one].order, lists[other].order, rng)
                    _swap_neighbors(child, passes.follows, rng)
                    children.append(passes.score(child))
        lists = sorted([*lists, *children], key=lambda one: one.value)[:size]
        gained = 0 if lists[0].value < best else gained + 1
        best = lists[0].value


def _first_lists(
    passes: _Passes, rng: np.random.Generator, latest: Ints, size: int
) -> list[Ints]:
    """The order given, the order by latest finish, and orders near that one."""
    spread = RANDOMNESS * float(np.ptp(latest))
    first = [_listed(passes.follows, latest)]
    if passes.best is None:
        first.insert(0, np.arange(len(latest)))
    while len(first) < size:
        noise = rng.normal(0.0, spread, len(latest))
        first.append(_listed(passes.follows, latest + noise))
    return first


def _listed(follows: NDArray[np.bool_], keys: NDArray[Any]) -> Ints:
    """Activities by key, none before what it follows."""
    waiting = follows.sum(axis=0)
    ready = [(float(keys[k]), int(k)) for k in np.flatnonzero(waiting == 0)]
    heapify(ready)
    order = []
    while ready:
        _, place = heappop(ready)
        order.append(place)
        for after in np.flatnonzero(follows[place]).tolist():
            waiting[after] -= 1
            if waiting[after] == 0:
                heappush(ready, (float(keys[after]), after))
    return np.array(order)


def _cross(mother: Ints, father: Ints, rng: np.random.Generator) -> Ints:
    """The mother's list with a stretch of it in the father's sequence."""
    first, last = np.sort(rng.integers(0, len(mother) + 1, 2))
    taken = np.zeros(len(mother), np.bool_)
    taken[mother[:first]] = True
    middle = father[~taken[father]][: last - first]
    taken[middle] = True
    return np.concatenate([mother[:first], middle, mother[~taken[mother]]])


def _swap_neighbors(
    order: Ints, follows: NDArray[np.bool_], rng: np.random.Generator
) -> None:
    for place in np.flatnonzero(rng.random(len(order) - 1) < SWAP_SHARE).tolist():
        one, other = order[place], order[place + 1]
        if not follows[one, other]:
            order[place], order[place + 1] = other, one


def _follows(a: Arrays, activities: Ints) -> NDArray[np.bool_]:
    """Which activity follows which, both by their place among the activities."""
    place_of = np.full(len(a.boat_of), -1)
    place_of[activities] = np.arange(len(activities))
    before, after = place_of[a.wait_before], place_of[a.wait_after]
    found = np.zeros((len(activities), len(activities)), np.bool_)
    among = (before >= 0) & (after >= 0)
    found[before[among], after[among]] = True
    return found


def _choices(a: Arrays, activities: Ints, order: Ints) -> Choices:
    """A list as an order of orders: what closes projects stands behind it."""
    closing = np.setdiff1d(np.arange(len(a.boat_of)), activities)
    return new_choices(a, np.concatenate([activities[order], closing]))


def _decoder(a: Arrays, activities: Ints) -> Decoder:
    """Decode lists of a problem."""
    facts, state, value = facts_of(a), new_state(a), np.zeros(VALUES, np.int64)
    due = due_positions(a)
    warm_up(a, facts)

    def run(order: Ints) -> tuple[int, Ints, Ints]:
        choices = _choices(a, activities, order)
        found = decode(a, facts, state, choices, due, value)
        ends = state.finish[activities].astype(np.int64)
        starts = state.start[activities].astype(np.int64)
        return int(value[0]) if found else NO_PLAN, starts, ends

    return run


def _mirror(instance: Instance, compilation: Compilation, activities: Ints) -> Decoder:
    """Decode lists backward in time: every activity before what it follows."""
    projects = tuple(_reversed(one) for one in instance.projects)
    latest = compilation.problem.axis.ticks - 1
    problem = problem_of(replace(instance, projects=projects), latest=latest)
    mirrored = compile_problem(problem)
    names = [compilation.operations[place] for place in activities]
    places = np.array([mirrored.index_of[name] for name in names])
    return _decoder(mirrored.arrays, places)


def _reversed(project: Project) -> Project:
    """A project with every arc turned."""
    before: list[list[int]] = [[] for _ in project.activities]
    for place, one in enumerate(project.activities):
        for after in one.followers:
            before[after].append(place)
    return replace(
        project,
        activities=tuple(
            replace(one, followers=tuple(own))
            for one, own in zip(project.activities, before, strict=True)
        ),
    )
