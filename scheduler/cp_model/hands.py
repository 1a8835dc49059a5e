"""Who is left to man a whole stretch of work, person by person.

People counted by subset suffice at every tick; the rule of the floor asks for more: a
crew stays from one break or stop to the next, and throughout a one-go operation. Where
committed work leaves people free in scraps, that forbids most starts, and it can be
told from each operation alone. Every start that is dropped here is impossible whatever
the other free operations do, so bounds stay bounds.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from scheduler.compiling.standing import lead_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from scheduler.cp_model.axes import TickAxis

    Ints = NDArray[np.int64]


@dataclass(frozen=True)
class Hands:
    """People left over, one row each.

    `away[row][p]` counts the positions before p at which a person is not there or is
    on committed work; a kind of several people has a row for each: the first is there
    where at least one of them is, the second where at least two are, and so on.
    """

    away: NDArray[np.int32]  # [rows, positions + 1]
    able: NDArray[np.bool_]  # [rows, skills]
    leading: NDArray[np.bool_]  # [rows, skills] who is no apprentice where others are


def count_hands(
    counts: Ints, kinds: Sequence[frozenset[str]], skills: Sequence[str], most: int
) -> Hands:
    """Make the rows from the people left by kind and position.

    No crew has more than `most`, so that further people of a kind change nothing.
    """
    away, able, leading = [], [], []
    for kind, own in enumerate(kinds):
        for level in range(min(most, int(counts[kind].max(initial=0)))):
            missing = counts[kind] <= level
            away.append(np.concatenate([[0], np.cumsum(missing, dtype=np.int32)]))
            able.append([skill in own for skill in skills])
            leading.append([lead_of(skill) in own for skill in skills])
    rows = len(away)
    return Hands(
        np.array(away, np.int32).reshape(rows, counts.shape[1] + 1),
        np.array(able, np.bool_).reshape(rows, len(skills)),
        np.array(leading, np.bool_).reshape(rows, len(skills)),
    )


def can_be_manned(
    away: NDArray[np.int32],
    axis: TickAxis,
    positions: NDArray[np.int32],
    mode: tuple[int, int],
    count: int,
) -> NDArray[np.bool_]:
    """At which of the first start indices every stretch of work finds a whole crew.

    Parameters
    ----------
    away : rows of `Hands.away` of those who can be in the crew.
    positions : [len(axis)] where the ticks of the axis are among those of `hands`.
    mode : a crew and its length in worked ticks, at least one.
    count : how many start indices are looked at.
    """
    crew, length = mode
    starts = np.arange(count)
    ends = starts + length
    first_end = np.minimum(axis.run_end[:count], ends)
    fits = _crew_over(away, positions, starts, first_end) >= crew
    begins = _run_begins(axis)
    last = np.maximum(begins[ends - 1], starts)
    fits &= _crew_over(away, positions, last, ends) >= crew
    # Whole runs between the first stretch and the last.
    heads = np.flatnonzero(begins == np.arange(len(axis)))
    whole = _crew_over(away, positions, heads, axis.run_end[heads]) >= crew
    short = np.concatenate([[0], np.cumsum(~whole)])
    inner = np.searchsorted(heads, first_end)
    until = np.searchsorted(heads, last)
    fits &= short[np.maximum(until, inner)] == short[inner]
    return fits


def _run_begins(axis: TickAxis) -> Ints:
    """For each index, the first of its unbroken run."""
    heads = np.append(0, np.flatnonzero(np.diff(axis.ticks) != 1) + 1)
    begins: Ints = heads[np.searchsorted(heads, np.arange(len(axis)), "right") - 1]
    return begins


def _crew_over(
    away: NDArray[np.int32], positions: NDArray[np.int32], first: Ints, end: Ints
) -> Ints:
    """How many are there from the first index to before the end, all the time."""
    crew = np.zeros(len(first), np.int64)
    begin, until = positions[first], positions[end - 1] + 1
    for row in away:
        crew += row[until] == row[begin]
    return crew
