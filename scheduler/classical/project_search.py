"""A search for the least makespan of activities that may all start at 0.

Where each activity needs one machine at most, critical ones are moved along their
machines (`swapping`); else populations breed, drawn anew when they stall (`breeding`).
Schedules are counted as the literature counts them: each time that all activities are
placed, forward or backward, is one.
"""

from __future__ import annotations

import math
import time
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from scheduler.classical.breeding import (
    Breed,
    breed_once,
    draw_first,
    least_of,
    new_breed,
)
from scheduler.classical.count import Count
from scheduler.classical.lists import activities_of, choices_of
from scheduler.classical.machines import Machines, machines_of
from scheduler.classical.network import Network, network_of, turned
from scheduler.classical.searching import decoded, first_plan
from scheduler.classical.swapping import swap
from scheduler.searching.search import Budget

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from scheduler.classical.instance import Instance
    from scheduler.compiling.compile import Compilation
    from scheduler.solution import Solution

    Ints = NDArray[np.int64]

FEWEST_MEMBERS, MOST_MEMBERS = 8, 60
MEMBERS_SQUARED = 0.4  # of the schedules: a population grows with their root
DRAWS = 4  # for each member of a first population
DECODED = 2  # schedules that the yard's decoder makes


@dataclass(frozen=True)
class Found:
    """The best schedule: a makespan, and starts by project and place (from 0)."""

    makespan: int
    start: dict[tuple[int, int], int]
    schedules: int


def search_projects(
    instance: Instance, compilation: Compilation, budget: Budget, bound: int, seed: int
) -> tuple[Solution, int]:
    """The plan of the least makespan found, and how many schedules that took.

    The instance must have been written with any time between activities, and without
    releases. Two schedules of the budget are the yard's decoder's: the plan of the
    order given, and that of the best schedule found, which it can only shorten.
    """
    first = first_plan(compilation)
    if budget.work is not None:
        if budget.work <= DECODED:
            return first, 1
        budget = Budget(None, budget.work - DECODED)
    if first.values[0] <= bound:
        return first, 1
    found = search_makespan(instance, budget, bound, seed)
    if found.makespan >= first.values[0]:
        return first, found.schedules + 1
    begin = np.zeros(len(compilation.operations), np.int64)
    for (project, place), start in found.start.items():
        name = f"{instance.projects[project].name}.{place + 1}/work"
        begin[compilation.index_of[name]] = start
    activities = activities_of(compilation)
    order = np.argsort(begin[activities], kind="stable")
    choices = choices_of(compilation.arrays, activities, order)
    return decoded(compilation, choices), found.schedules + DECODED


def search_makespan(instance: Instance, budget: Budget, bound: int, seed: int) -> Found:
    """Search until the bound is met or the budget ends.

    With a number of schedules the same is found again for a seed.
    """
    forward, whose = network_of(instance)
    count = Count(budget, time.monotonic())
    machines = machines_of(forward, seed)
    if machines is not None:
        best: Breed | Machines = machines
        swap(forward, machines, bound, count)
    else:
        best = _bred(forward, new_breed(forward, _members(budget), bound, seed), count)
    start = dict(zip(whose, best.best_start.tolist(), strict=True))
    return Found(int(best.best[0]), start, count.done)


def _bred(forward: Network, breed: Breed, count: Count) -> Breed:
    """Breed one population after the other."""
    backward = turned(forward)
    while count.left > 0 and breed.best[0] > breed.bound:
        _breed_until_stalled(forward, backward, breed, count)
    return breed


def _members(budget: Budget) -> int:
    if budget.work is None:
        return MOST_MEMBERS
    grown = round(math.sqrt(MEMBERS_SQUARED * budget.work))
    return min(MOST_MEMBERS, max(FEWEST_MEMBERS, grown))


def _breed_until_stalled(
    forward: Network, backward: Network, breed: Breed, count: Count
) -> None:
    """Draw a population and breed it as long as it gains, or the budget lasts."""
    draws = min(count.left, DRAWS * breed.makespan.shape[1])
    count.done += draw_first(forward, breed, draws)
    patience = max(3, len(forward.duration) // 10)
    direction = stale = 0
    least = least_of(breed)
    while stale < patience and count.left > 0 and breed.best[0] > breed.bound:
        count.done += breed_once(forward, backward, breed, direction, count.left)
        stale = 0 if least_of(breed) < least else stale + 1
        least = min(least, least_of(breed))
        direction = 1 - direction
