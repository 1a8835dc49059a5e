"""A search over lists of activities, each list a schedule of the compiled decoder.

Moves of the yard's search mostly put an activity before one that it follows, which no
list may. Here two lists are crossed so that what comes first in both comes first in the
child, and every list keeps the order of activities. For the makespan of activities
that are all released at 0, `scheduler.classical.project_search` is better.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from heapq import heapify, heappop, heappush
from typing import TYPE_CHECKING, Any

import numpy as np

from scheduler.classical.instance import END
from scheduler.classical.searching import decoded, tails
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
    from scheduler.compiling.compile import Compilation
    from scheduler.decoding.placing import Choices
    from scheduler.solution import Solution

    Ints = NDArray[np.int64]

NO_PLAN = 2**60  # the value of a list that does not fit the axis
MOST_LISTS, FEWEST_LISTS = 60, 8  # of a population
PASSES_A_LIST = 60  # of the budget, for each list of the population
SWAP_SHARE = 0.05  # of the places of a child: neighbors change places
PATIENCE = 12  # generations without a gain, then the population is drawn anew
RANDOMNESS = 0.3  # of a first list: how far from the order by latest finish


Decoder = Callable[["Ints"], tuple[int, "Ints"]]
"""From a list to its value, and to the start of each activity."""


@dataclass(frozen=True)
class Scored:
    """A list with what its schedule is worth."""

    value: int
    order: Ints


@dataclass
class _Passes:
    """Decodes lists, and counts."""

    decoder: Decoder
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
        """The schedule of a list, and the list of its starts."""
        self.done += 1
        value, start = self.decoder(order)
        if self.best is None or value < self.best.value:
            self.best = Scored(value, order.copy())
        if value == NO_PLAN:
            return Scored(value, order)
        return Scored(value, order[np.argsort(start[order], kind="stable")])


def search_lists(
    compilation: Compilation, budget: Budget, bound: int, seed: int
) -> tuple[Solution, int]:
    """The best plan found, and how many schedules were decoded for it.

    The instance must have been written with any time between activities. The search
    ends where a plan of the bound is found; with a number of schedules it is the same
    again for a seed.
    """
    a = compilation.arrays
    activities = activities_of(compilation)
    passes = _Passes(_decoder(a, activities), _follows(a, activities), bound, budget)
    length = a.length[a.length_at[:-1]]
    rng = np.random.default_rng(np.random.SeedSequence(seed))
    passes.began = time.monotonic()
    while not passes.is_over:
        _evolve(passes, rng, (length - tails(a))[activities])
    assert passes.best is not None
    choices = choices_of(a, activities, passes.best.order)
    return decoded(compilation, choices), passes.done


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


def activities_of(compilation: Compilation) -> Ints:
    """The operations that are activities, not what closes projects."""
    found = [
        place
        for place, name in enumerate(compilation.operations)
        if not name.endswith(f"/{END}")
    ]
    return np.array(found)


def choices_of(a: Arrays, activities: Ints, order: Ints) -> Choices:
    """A list as an order of orders: what closes projects stands behind it."""
    closing = np.setdiff1d(np.arange(len(a.boat_of)), activities)
    return new_choices(a, np.concatenate([activities[order], closing]))


def _decoder(a: Arrays, activities: Ints) -> Decoder:
    """Decode lists of a problem."""
    facts, state, value = facts_of(a), new_state(a), np.zeros(VALUES, np.int64)
    due = due_positions(a)
    warm_up(a, facts)

    def run(order: Ints) -> tuple[int, Ints]:
        choices = choices_of(a, activities, order)
        found = decode(a, facts, state, choices, due, value)
        starts = state.start[activities].astype(np.int64)
        return int(value[0]) if found else NO_PLAN, starts

    return run
