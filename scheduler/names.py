"""Naming people under the rule of the floor.

A crew changes only at a break or stop of a pausable operation, never inside a one-go
operation. The work is cut into *blocks*, each kept by one crew from its start to its
end. Blocks are manned in order of time; those that start together are matched by
augmenting paths, people who were on the operation before first, then those with the
fewest other skills. That can fail although every tick has people enough: such a
stretch of time is solved exactly (`scheduler.names_exact`), and where even that
proves impossible the operations are returned as a clash to be decoded apart.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from scheduler.compile_time import mask
from scheduler.compiled import DONE
from scheduler.names_exact import name_exactly
from scheduler.names_greedy import man_blocks

if TYPE_CHECKING:
    from scheduler.compile import Compilation
    from scheduler.compiled import I32
    from scheduler.problem import Span, Stint
    from scheduler.solution import Solution


@dataclass(frozen=True)
class Blocks:
    """Stretches of work kept by one crew, in order of start (reference ticks)."""

    op: I32
    start: I32
    finish: I32
    crew: I32
    fits: np.ndarray  # [blocks, people] who has the skill and is there throughout
    given: dict[int, list[int]]  # people that a block must have, by block


@dataclass(frozen=True)
class Clash:
    """Operations that cannot all be manned where they stand."""

    operations: tuple[int, ...]
    failing: int  # the one that found no people
    until: int  # first tick at which one of the others lets people go


@dataclass(frozen=True)
class Naming:
    """People by block, or the clashes that prevent it."""

    blocks: Blocks
    people: list[list[int]]
    clashes: tuple[Clash, ...]


def name_people(compilation: Compilation, solution: Solution) -> Naming:
    """Give every block of a solution its people, with few hand-overs."""
    blocks = cut_blocks(compilation, solution)
    count, persons = blocks.fits.shape
    chosen = np.full((count, int(blocks.crew.max(initial=1)) or 1), -1, np.int32)
    failed = np.zeros(count, np.int8)
    flexible = np.array(
        [len(one.skills) for one in compilation.problem.people], np.int32
    )
    ranked = np.argsort(flexible, kind="stable").astype(np.int32)
    given = np.full((count, chosen.shape[1]), -1, np.int32)
    for block, people in blocks.given.items():
        given[block, : len(people)] = people
    last_block = _previous_blocks(blocks)
    man_blocks(
        blocks.start,
        blocks.finish,
        blocks.crew,
        blocks.fits,
        given,
        last_block,
        ranked,
        np.zeros(persons, np.int32),
        chosen,
        failed,
    )
    crews = [[int(person) for person in row if person >= 0] for row in chosen]
    clashes = []
    for cluster in _failed_clusters(blocks, failed):
        exact = name_exactly(blocks, cluster, crews, last_block)
        if exact is None:
            clashes.append(_clash(blocks, cluster, failed))
        else:
            for block, row in exact.items():
                crews[block] = row
    return Naming(blocks, crews, tuple(clashes))


def cut_blocks(compilation: Compilation, solution: Solution) -> Blocks:
    """Cut the work of a solution into blocks, and find who could man each."""
    a, problem = compilation.arrays, compilation.problem
    committed = {one.operation: one for one in problem.committed}
    rows: list[tuple[int, int, int, int]] = []
    for op in range(len(a.boat_of)):
        if a.binding[op] == DONE or a.skill[op] < 0 or solution.length[op] == 0:
            continue
        for start, finish in work_spans(compilation, solution, op):
            rows.append((start, finish, op, int(solution.crew[op])))
    rows.sort()
    table = np.array(rows, np.int32).reshape(-1, 4)
    people_index = {one.id: place for place, one in enumerate(problem.people)}
    fits = _who_fits(compilation, table)
    given: dict[int, list[int]] = {}
    for block, (start, finish, op, _) in enumerate(rows):
        fact = committed.get(compilation.operations[op])
        if fact is None or not fact.people:
            continue
        names = _given_names(fact.people, fact.stints, start, finish)
        given[block] = [people_index[name] for name in names if name in people_index]
    return Blocks(
        table[:, 2].copy(),
        table[:, 0].copy(),
        table[:, 1].copy(),
        table[:, 3].copy(),
        fits,
        given,
    )


def _given_names(
    people: tuple[str, ...], stints: tuple[Stint, ...], start: int, finish: int
) -> list[str]:
    if not stints:
        return list(people)
    return [one.person for one in stints if one.start <= start and one.finish >= finish]


def work_spans(
    compilation: Compilation, solution: Solution, op: int
) -> list[tuple[int, int]]:
    """Segments of an operation in reference ticks (maximal runs of its track)."""
    a = compilation.arrays
    base = a.track_at[a.track[op]]
    first, length = int(solution.index[op]), int(solution.length[op])
    spans = []
    index = first
    while index < first + length:
        end = min(int(a.run_end[base + index]), first + length)
        spans.append(
            (
                int(a.ref_of[a.open_position[base + index]]),
                int(a.ref_of[a.open_position[base + end - 1]]) + 1,
            )
        )
        index = end
    return spans


def _who_fits(compilation: Compilation, table: np.ndarray) -> np.ndarray:
    """Who has the skill of a block and is at work throughout.

    Inside a one-go operation with relieved breaks, the ticks of its own calendar's
    breaks are not asked of anyone.
    """
    problem = compilation.problem
    ticks = problem.axis.ticks
    operations = [problem.operations[op] for op in table[:, 2]]
    relieving = {one.id for one in problem.calendars if one.breaks_relieved}
    spared = np.array(
        [
            one.calendar if one.one_go and one.calendar in relieving else ""
            for one in operations
        ],
        object,
    )
    asked = {"": np.ones(ticks, np.bool_)}
    for calendar in problem.calendars:
        asked[calendar.id] = ~mask(calendar.breaks, ticks)
    there: dict[tuple[Span, ...], np.ndarray] = {}
    skilled = np.zeros((len(problem.people), len(compilation.skills) + 1), np.bool_)
    out = np.zeros((len(problem.people), len(table)), np.bool_)
    for place, person in enumerate(problem.people):
        if person.available not in there:
            present = mask(person.available, ticks)
            whole = np.zeros(len(table), np.bool_)
            for name, marks in asked.items():
                own = spared == name
                missing = _running(marks & ~present)
                whole[own] = missing[table[own, 1]] == missing[table[own, 0]]
            there[person.available] = whole
        for index, skill in enumerate(compilation.skills):
            skilled[place, index] = skill in person.skills
        skills = compilation.arrays.skill[table[:, 2]]
        out[place] = there[person.available] & skilled[place, skills]
    return np.ascontiguousarray(out.T)


def _running(marks: np.ndarray) -> np.ndarray:
    return np.concatenate([[0], np.cumsum(marks)])


def _previous_blocks(blocks: Blocks) -> I32:
    """For each block the one before it of the same operation, -1 if none."""
    last: dict[int, int] = {}
    out = np.full(len(blocks.op), -1, np.int32)
    for block, op in enumerate(blocks.op):
        out[block] = last.get(int(op), -1)
        last[int(op)] = block
    return out


def _failed_clusters(blocks: Blocks, failed: np.ndarray) -> list[range]:
    """Stretches of blocks, cut where nobody works, in which some block failed."""
    clusters, begin, reach = [], 0, -1
    for block in range(len(blocks.op) + 1):
        ends = block == len(blocks.op) or (
            block > begin and blocks.start[block] >= reach
        )
        if ends:
            if failed[begin:block].any():
                clusters.append(range(begin, block))
            begin = block
        if block < len(blocks.op):
            reach = max(reach, int(blocks.finish[block]))
    return clusters


def _clash(blocks: Blocks, cluster: range, failed: np.ndarray) -> Clash:
    block = next(one for one in cluster if failed[one])
    start = blocks.start[block]
    active = [
        other
        for other in cluster
        if blocks.start[other] <= start < blocks.finish[other] and other != block
    ]
    until = min((int(blocks.finish[other]) for other in active), default=int(start) + 1)
    return Clash(
        operations=tuple(sorted({int(blocks.op[other]) for other in cluster})),
        failing=int(blocks.op[block]),
        until=until,
    )
