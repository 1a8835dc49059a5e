"""Plans of a classical instance, decoded or searched for as those of a yard are."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from models.errors import NoPlan
from scheduler.decoding.decoder import (
    VALUES,
    decode,
    due_positions,
    new_state,
    open_boats,
)
from scheduler.searching.chain import new_choices
from scheduler.searching.search import Budget, Progress, facts_of, search, warm_up
from scheduler.solution import Solution, snapshot

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from scheduler.compiling.arrays import Arrays
    from scheduler.compiling.compile import Compilation
    from scheduler.decoding.placing import Choices

    Ints = NDArray[np.int64]


def first_plan(compilation: Compilation) -> Solution:
    """The plan of the order in which things were given.

    Raises
    ------
    NoPlan
        If it does not fit the axis.
    """
    a = compilation.arrays
    return decoded(compilation, new_choices(a, open_boats(a)))


def search_plan(
    compilation: Compilation, budget: Budget, bound: int, *, seed: int, workers: int
) -> tuple[Solution, int]:
    """The best plan found, and how many schedules were decoded for it.

    The search ends early where it has found a plan of the bound.
    """
    a = compilation.arrays
    facts = facts_of(a)
    warm_up(a, facts)
    starts = [new_choices(a, open_boats(a))]
    best = [bound + 1]

    def note(progress: Progress) -> None:
        best[0] = progress.tardiness

    found = search(
        a,
        facts,
        budget,
        seed=seed,
        workers=workers,
        starts=starts,
        report=note,
        should_stop=lambda: best[0] <= bound,
    )
    return decoded(compilation, found.choices[0]), found.decodes


def decoded(compilation: Compilation, choices: Choices) -> Solution:
    """The plan of choices.

    Raises
    ------
    NoPlan
        If they lead to none.
    """
    a = compilation.arrays
    state, value = new_state(a), np.zeros(VALUES, np.int64)
    if not decode(a, facts_of(a), state, choices, due_positions(a), value):
        raise NoPlan("no plan: the activities do not fit the time that was given")
    return snapshot(a, state)


def tails(a: Arrays) -> Ints:
    """Longest chain from the start of each operation to the end of all, in ticks."""
    tail = a.length[a.length_at[:-1]].astype(np.int64)
    for op in range(len(tail) - 1, -1, -1):
        waits = a.successor_list[a.successor_at[op] : a.successor_at[op + 1]]
        if len(waits):
            tail[op] += tail[a.wait_after[waits]].max()
    return tail
