"""Naming people under the rule of the floor.

A crew changes only at a break or stop of a pausable operation, never inside a one-go
operation, so work falls into blocks (`scheduler.naming.roster`). Blocks are manned in
order of time; those that start together are matched by augmenting paths, people who
were on the operation before first. That can fail although every tick has people
enough: such a stretch of time is manned by the kinds of people that the decoder
counted out (`scheduler.naming.by_kind`). Where the plan comes from elsewhere it is
solved exactly (`scheduler.naming.exact`), and where even that proves impossible the
work that competes is returned as a clash.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from scheduler.naming.by_kind import counts_by_kind, members_by_kind
from scheduler.naming.exact import name_exactly
from scheduler.naming.greedy import man_stretches
from scheduler.naming.roster import Blocks, Roster, cut_blocks

if TYPE_CHECKING:
    from scheduler.compiling.arrays import I32
    from scheduler.compiling.compile import Compilation
    from scheduler.solution import Solution


@dataclass
class Memory:
    """How stretches were manned, by their content.

    `exact` holds those that took the exact method, None where it cannot be done;
    `easy` the others. Dropping `easy` lets people be chosen afresh for few hand-overs.
    """

    exact: dict[bytes, np.ndarray | None] = field(default_factory=dict)
    easy: dict[bytes, np.ndarray] = field(default_factory=dict)
    stale: bool = False  # whether any was manned before those ahead of it were


@dataclass(frozen=True)
class Clash:
    """Operations of one stretch of time that cannot all be manned where they stand."""

    operations: tuple[int, ...]
    since: int  # when the stretch begins
    until: int  # when it ends
    key: bytes  # content of the stretch


@dataclass(frozen=True)
class Naming:
    """People by block, or the clashes that prevent it."""

    blocks: Blocks
    people: list[list[int]]
    clashes: tuple[Clash, ...]


def name_people(
    compilation: Compilation,
    roster: Roster,
    solution: Solution,
    memory: Memory | None = None,
    blocks: Blocks | None = None,
) -> Naming:
    """Give every block of a solution its people, with few hand-overs.

    `blocks` are those of this very solution, where they are known.
    """
    memory = memory or Memory()
    if blocks is None:
        blocks = cut_blocks(compilation, roster, solution)
    count = len(blocks.op)
    widest = max(
        int(blocks.crew.max(initial=1)), *(len(one) for one in blocks.given.values()), 1
    )
    chosen = np.full((count, widest), -1, np.int32)
    given = np.full((count, widest), -1, np.int32)
    for block, people in blocks.given.items():
        given[block, : len(people)] = people
    last_block = previous_blocks(blocks)
    stretch_at = _stretches(blocks)
    keys = [_content(blocks, given, one) for one in pairwise(stretch_at)]
    open_ = np.ones(len(keys), np.int8)
    for stretch, (begin, end) in enumerate(pairwise(stretch_at)):
        if keys[stretch] in memory.exact:
            open_[stretch] = 0
            known = memory.exact[keys[stretch]]
            if known is not None:
                chosen[begin:end] = known[:, :widest]
        elif keys[stretch] in memory.easy:
            open_[stretch] = 0
            chosen[begin:end] = memory.easy[keys[stretch]][:, :widest]
            memory.stale = True
    failed, kept = np.zeros(count, np.int8), np.zeros(len(keys), np.bool_)
    counts = np.zeros((0, 0), np.uint8)
    if solution.share.any():
        counts = counts_by_kind(solution.share, blocks.share)
    man_stretches(
        stretch_at,
        open_,
        blocks.start,
        blocks.finish,
        blocks.crew,
        blocks.fits,
        given,
        last_block,
        roster.flexible,
        blocks.role,
        counts,
        *members_by_kind(roster.lane, counts.shape[1]),
        chosen,
        failed,
        kept,
    )
    clashes = []
    for stretch, (begin, end) in enumerate(pairwise(stretch_at)):
        key, cluster = keys[stretch], range(begin, end)
        if failed[begin:end].any():
            memory.stale = True
            named = _name_exactly(blocks, cluster, last_block, chosen)
            memory.exact[key] = chosen[begin:end].copy() if named else None
        elif kept[stretch]:
            memory.exact[key] = chosen[begin:end].copy()
        elif open_[stretch]:
            memory.easy[key] = chosen[begin:end].copy()
        if key in memory.exact and memory.exact[key] is None:
            clashes.append(_clash(blocks, cluster, key))
    crews = [[one for one in row if one >= 0] for row in chosen.tolist()]
    return Naming(blocks, crews, tuple(clashes))


def _name_exactly(blocks: Blocks, cluster: range, last_block: I32, chosen: I32) -> bool:
    """Fill in the people of a stretch as the exact method names them, if it can."""
    chosen[cluster.start : cluster.stop] = -1
    exact = name_exactly(blocks, cluster, chosen, last_block)
    for block, row in (exact or {}).items():
        chosen[block, : len(row)] = row
    return exact is not None


def previous_blocks(blocks: Blocks) -> I32:
    """For each block the one before it of the same part of a crew, -1 if none."""
    last: dict[tuple[int, int], int] = {}
    out = np.full(len(blocks.op), -1, np.int32)
    for block, key in enumerate(
        zip(blocks.op.tolist(), blocks.role.tolist(), strict=True)
    ):
        out[block] = last.get(key, -1)
        last[key] = block
    return out


def _stretches(blocks: Blocks) -> I32:
    """Offsets of stretches of blocks, cut where nobody works."""
    reach = np.maximum.accumulate(blocks.finish) if len(blocks.op) else blocks.finish
    cuts = np.flatnonzero(blocks.start[1:] >= reach[:-1]) + 1
    return np.concatenate([[0], cuts, [len(blocks.op)]]).astype(np.int32)


def _content(blocks: Blocks, given: I32, stretch: tuple[int, int]) -> bytes:
    """What decides how a stretch can be manned."""
    part = slice(*stretch)
    rows = (blocks.op, blocks.start, blocks.finish, blocks.crew, blocks.fits, given)
    return b"".join(row[part].tobytes() for row in rows)


def _clash(blocks: Blocks, cluster: range, key: bytes) -> Clash:
    """The work of a stretch that shares people with its tightest skill."""
    reach = blocks.fits[cluster.start : cluster.stop]
    tight = int(np.argmin(reach.sum(axis=1) - _wanted(blocks, cluster)))
    able = reach[tight].copy()
    for _ in range(len(cluster)):  # people joined by work that any of them could do
        joined = reach[(reach & able).any(axis=1)].any(axis=0)
        if (joined == able).all():
            break
        able = joined
    rivals = [block for block in cluster if (blocks.fits[block] & able).any()]
    return Clash(
        operations=tuple(sorted({int(blocks.op[one]) for one in rivals})),
        since=int(blocks.start[cluster.start]),
        until=int(blocks.finish[cluster.start : cluster.stop].max()),
        key=key,
    )


def _wanted(blocks: Blocks, cluster: range) -> np.ndarray:
    """For each block, the people wanted while it runs by work of the same people."""
    wanted = np.zeros(len(cluster), np.int64)
    for place, block in enumerate(cluster):
        rivals = (
            (blocks.start[cluster.start : cluster.stop] < blocks.finish[block])
            & (blocks.finish[cluster.start : cluster.stop] > blocks.start[block])
            & (blocks.fits[cluster.start : cluster.stop] == blocks.fits[block]).all(
                axis=1
            )
        )
        wanted[place] = blocks.crew[cluster.start : cluster.stop][rivals].sum()
    return wanted
