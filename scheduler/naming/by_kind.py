"""Naming one stretch of time by the kinds of people that the decoder counted out.

The decoder takes for each block so many of each *kind* (same skills, same hours), never
more at a time than there are. People of one kind are there together, and the blocks
are intervals: whoever is free when a block begins will do, in order of time. So a
stretch of a decoded plan is manned without any search.
"""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

import numpy as np

from scheduler.compiling.arrays import LANE_BITS, LANES
from scheduler.naming.roster import ALL, LEADS

if TYPE_CHECKING:
    from scheduler.compiling.arrays import I32, TableU64
    from scheduler.naming.roster import Blocks

LANE_ONES = 2**LANE_BITS - 1


def name_by_kind(
    blocks: Blocks,
    cluster: range,
    share: TableU64,
    lane: I32,
    people: I32,
    last_block: I32,
) -> dict[int, list[int]] | None:
    """Man every block of a stretch with the kinds stored for it.

    Those who were on the operation before come first. Returns None where the stored
    crews are not those of this plan, which a block then shows: too few of them, or
    nobody free.

    Parameters
    ----------
    share : TableU64
        [rows, words] people by kind, packed; `blocks.share` is the row of a block.
    lane : I32
        The kind of each person, -1 for those who are never counted.
    people : I32
        [blocks, crew] who mans the blocks before this stretch.
    """
    members = defaultdict(list)
    for person, kind in enumerate(lane):
        members[int(kind)].append(person)
    free_from = [0] * len(lane)
    named: dict[int, list[int]] = {}
    for block in cluster:
        before = int(last_block[block])
        known = named[before] if before in named else people[before].tolist()
        first = set(known) if before >= 0 else set()
        crew = _crew_of(blocks, block, share, members, free_from, first)
        if crew is None:
            return None
        finish = int(blocks.finish[block])
        for one in crew:
            free_from[one] = finish
        named[block] = crew
    return named


def _crew_of(
    blocks: Blocks,
    block: int,
    share: TableU64,
    members: dict[int, list[int]],
    free_from: list[int],
    first: set[int],
) -> list[int] | None:
    """Who mans one block: those given, then as many of each kind as stored."""
    crew = list(blocks.given.get(block, ()))  # such a block has no stored crew
    fits, start = blocks.fits[block].tolist(), int(blocks.start[block])
    if any(free_from[one] > start or not fits[one] for one in crew):
        return None
    for kind, count in _counts_of(blocks, block, share, members):
        free = [one for one in members[kind] if fits[one] and free_from[one] <= start]
        if len(free) < count:
            return None
        if not first.isdisjoint(free):
            free.sort(key=lambda one: (one not in first, one))
        crew += free[:count]
    return crew if len(crew) == blocks.crew[block] else None


def _counts_of(
    blocks: Blocks, block: int, share: TableU64, members: dict[int, list[int]]
) -> list[tuple[int, int]]:
    """How many of each kind a block has: leads are the first of a crew who can be."""
    counts, role = _counts(share[blocks.share[block]]), blocks.role[block]
    if role == ALL:
        return counts
    leads = block if role == LEADS else block - 1
    wanted, first, others = int(blocks.crew[leads]), [], []
    for kind, count in counts:
        fit = bool(blocks.fits[leads, members[kind]].any())  # others are on leave
        taken = min(count, wanted) if fit else 0
        wanted -= taken
        first.append((kind, taken))
        others.append((kind, count - taken))
    return first if role == LEADS else others


def _counts(words: np.ndarray) -> list[tuple[int, int]]:
    """The kinds of a packed crew and how many of each."""
    return [
        (word * LANES + place, count)
        for word, packed in enumerate(words.tolist())
        if packed
        for place in range(LANES)
        if (count := packed >> (LANE_BITS * place) & LANE_ONES)
    ]
