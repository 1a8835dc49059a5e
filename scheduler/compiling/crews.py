"""Which crew sizes of an operation can be had at all."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from scheduler.compiling.arrays import I32

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from scheduler.compiling.time_tables import Tracks
    from scheduler.problem import Operation


def fitting_crews(
    operations: Sequence[Operation], lengths: list[list[int]], tracks: Tracks
) -> I32:
    """Smallest crew of each operation; drops crews too small for one go in a shift.

    `lengths` loses the entries of the crews that are dropped.
    """
    longest = tracks.longest_runs()
    smallest = []
    for one, row in zip(operations, lengths, strict=True):
        if one.skill is None:
            smallest.append(0)
            continue
        dropped = 0
        limit = longest[tracks.of_operation(one)]
        while one.one_go and len(row) > 1 and row[0] > limit:
            row.pop(0)
            dropped += 1
        smallest.append(one.crew_min + dropped)
    return np.array(smallest, np.int32)


def drop_large_crews(
    operations: Sequence[Operation],
    lengths: list[list[int]],
    crew_min: I32,
    given: I32,
    most: dict[str, int],
) -> None:
    """Drop the entries of crews that are never there at once, but for the smallest.

    To look for one, and to draw one at random, is lost time. Given crews stand.
    """
    for index, (one, row) in enumerate(zip(operations, lengths, strict=True)):
        if one.skill is not None:
            largest = max(most.get(one.skill, 0), int(given[index]))
            del row[max(1, largest - int(crew_min[index]) + 1) :]


def most_at_once(
    counted: Mapping[str, frozenset[str]], present: Mapping[str, np.ndarray]
) -> dict[str, int]:
    """The most people of each skill who are ever there together, at some position."""
    there: dict[str, np.ndarray] = {}
    for person, skills in counted.items():
        for skill in skills:
            here = present[person].astype(np.int32)
            there[skill] = there[skill] + here if skill in there else here
    return {skill: int(count.max(initial=0)) for skill, count in there.items()}
