"""Which boats a model is about: those to plan anew, and those a hint leaves out."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from scheduler.compiling.arrays import FREE
from scheduler.decoding.decoder import tardy_days

if TYPE_CHECKING:
    from scheduler.compiling.arrays import Arrays
    from scheduler.solution import Solution

WINDOW_OPERATIONS = 260
WORST = (2**62,) * 3  # values of a plan that lacks boats: any other is better


def pick_window(a: Arrays, solution: Solution, rng: np.random.Generator) -> list[int]:
    """A late boat, drawn by its weighted tardiness, and those at work beside it."""
    first = a.boat_at[:-1]
    finish = np.maximum.reduceat(solution.finish, first)
    start = np.minimum.reduceat(solution.start, first)
    late = np.array(
        [
            0 if a.boat_fixed[boat] else a.boat_weight[boat] * tardy_days(a, boat, end)
            for boat, end in enumerate(finish)
        ],
        float,
    )
    if late.sum() == 0:
        return []
    chosen = int(rng.choice(len(late), p=late / late.sum()))
    overlap = np.minimum(finish, finish[chosen]) - np.maximum(start, start[chosen])
    overlap[a.boat_fixed != 0] = -1
    boats: list[int] = [chosen]
    room = WINDOW_OPERATIONS - int(np.diff(a.boat_at)[chosen])
    for boat in np.argsort(-overlap, kind="stable").tolist():
        size = int(a.boat_at[boat + 1] - a.boat_at[boat])
        if boat != chosen and overlap[boat] > 0 and size <= room:
            boats.append(boat)
            room -= size
    return sorted(boats)


def boats_without_facts(a: Arrays) -> list[int]:
    """Boats of which nothing is done, begun or pinned, the first due first."""
    bound = {int(boat) for boat in a.boat_of[a.binding != FREE]}
    boats = [boat for boat in range(a.boats) if boat not in bound]
    return sorted(boats, key=lambda boat: (int(a.boat_due[boat]), boat))


def without_boats(a: Arrays, solution: Solution, boats: set[int]) -> Solution:
    """A plan as a hint that says nothing of some boats."""
    absent = np.isin(a.boat_of, sorted(boats))
    return replace(
        solution,
        start=np.where(absent, -1, solution.start).astype(np.int32),
        index=np.where(absent, -1, solution.index).astype(np.int32),
        length=np.where(absent, -1, solution.length).astype(np.int32),
        values=WORST,
    )
