"""Who is there when: look-ups for naming, and work cut into blocks.

A *block* is a stretch of one operation that one crew keeps from its start to its end:
the whole of a one-go operation, or what lies between two breaks or stops of a pausable
one. A crew of which some must have the skill in full makes two blocks side by side,
its leads and the others.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from scheduler.compiling.arrays import DONE, I32, Arrays
from scheduler.compiling.time_tables import mask
from scheduler.decoding.kernel import allocating_kernel, kernel

if TYPE_CHECKING:
    from scheduler.compiling.compile import Compilation
    from scheduler.problem import Span, Stint
    from scheduler.solution import Solution


ALL, LEADS, OTHERS = 0, 1, 2
"""Which of a crew a block is: all of it, its leads, or the others."""


@dataclass(frozen=True)
class Roster:
    """Look-ups that depend on the problem alone.

    `missing[kind][rule]` counts, up to each tick, the ticks at which people of an
    availability kind are not there although a block may ask for them; rule 0 asks at
    every tick, rule r spares the breaks of calendar r - 1.
    """

    kind: I32  # per person: which availability
    lane: I32  # per person: kind by which the decoder counts, -1: none
    missing: np.ndarray  # [kinds, rules, ticks + 1]
    rule: I32  # per operation
    skilled: np.ndarray  # [people, skills + 1]
    leading: np.ndarray  # [people, skills + 1] who has a skill in full
    flexible: I32  # per person: number of skills
    given: dict[int, tuple[tuple[int, ...], tuple[Stint, ...]]]  # by operation
    person_index: dict[str, int]


@dataclass(frozen=True)
class Blocks:
    """Blocks in order of start (reference ticks)."""

    op: I32
    start: I32
    finish: I32
    crew: I32
    fits: np.ndarray  # [blocks, people] who has the skill and is there throughout
    given: dict[int, list[int]]  # people that a block must have, by block
    share: I32  # row of the decoder's crews
    role: I32  # ALL, LEADS or OTHERS of a crew; OTHERS stand right behind their leads


def build_roster(compilation: Compilation) -> Roster:
    """Prepare the look-ups of a problem."""
    problem = compilation.problem
    ticks = problem.axis.ticks
    relieving = [one for one in problem.calendars if one.breaks_relieved]
    rule_of = {one.id: place + 1 for place, one in enumerate(relieving)}
    asked = [np.ones(ticks, np.bool_)]
    asked += [~mask(one.breaks, ticks) for one in relieving]
    kinds: dict[tuple[Span, ...], int] = {}
    for person in problem.people:
        kinds.setdefault(person.available, len(kinds))
    missing = np.zeros((len(kinds), len(asked), ticks + 1), np.int32)
    for available, kind in kinds.items():
        away = ~mask(available, ticks)
        for rule, marks in enumerate(asked):
            missing[kind, rule, 1:] = np.cumsum(away & marks)
    person_index = {one.id: place for place, one in enumerate(problem.people)}
    skilled = np.zeros((len(problem.people), len(compilation.skills) + 1), np.bool_)
    leading = skilled.copy()
    for place, person in enumerate(problem.people):
        for index, skill in enumerate(compilation.skills):
            skilled[place, index] = skill in person.counts_for
            leading[place, index] = skill in person.skills
    given = {
        compilation.index_of[one.operation]: (
            tuple(person_index[name] for name in one.people if name in person_index),
            one.stints,
        )
        for one in problem.committed
        if one.people and one.why != "done" and one.operation in compilation.index_of
    }
    return Roster(
        kind=np.array([kinds[one.available] for one in problem.people], np.int32),
        lane=np.array(
            [compilation.kinds.of_person.get(one.id, -1) for one in problem.people],
            np.int32,
        ),
        missing=missing,
        rule=np.array(
            [
                rule_of.get(one.calendar, 0) if one.one_go else 0
                for one in problem.operations
            ],
            np.int32,
        ),
        skilled=skilled,
        leading=leading,
        flexible=np.array([len(one.counts_for) for one in problem.people], np.int32),
        given=given,
        person_index=person_index,
    )


def cut_blocks(compilation: Compilation, roster: Roster, solution: Solution) -> Blocks:
    """Cut the work of a solution into blocks, and find who could man each."""
    a = compilation.arrays
    table = np.zeros((count_blocks(a, solution.index, solution.length), 5), np.int32)
    fill_blocks(a, solution.index, solution.length, solution.crew, table)
    table = table[np.lexsort((table[:, 2], table[:, 1], table[:, 0]))]
    table, role = _apart(a, table)
    fits = _who_fits(a, roster, table, role)
    given: dict[int, list[int]] = {}
    for op, (people, stints) in roster.given.items():
        for block in np.flatnonzero(table[:, 2] == op):
            start, finish = table[block, 0], table[block, 1]
            there = [
                roster.person_index[one.person]
                for one in stints
                if one.start <= start and one.finish >= finish
            ]
            given[int(block)] = there if stints else list(people)
    columns = [np.ascontiguousarray(table[:, column]) for column in range(5)]
    blocks = Blocks(
        columns[2], columns[0], columns[1], columns[3], fits, given, columns[4], role
    )
    _share_given(roster, blocks, a.skill)
    return blocks


def _apart(a: Arrays, table: np.ndarray) -> tuple[np.ndarray, I32]:
    """Make blocks of their own of the leads of a crew and of the others."""
    leads = np.minimum(a.leads[table[:, 2]], table[:, 3])
    if not leads.any():
        return table, np.zeros(len(table), np.int32)
    crews = np.stack([leads, table[:, 3] - leads], axis=1)
    row, part = np.nonzero(crews)  # leads right before the others
    out = table[row]
    out[:, 3] = crews[row, part]
    role = np.where(part == 0, LEADS, np.where(leads[row] > 0, OTHERS, ALL))
    return out, role.astype(np.int32)


def _share_given(roster: Roster, blocks: Blocks, skill: I32) -> None:
    """Let leads whom facts name count as such, as far as leads are asked for."""
    for block in sorted(blocks.given):
        if blocks.role[block] != LEADS:
            continue
        named = blocks.given[block]
        full = roster.leading[:, skill[blocks.op[block]]]
        first = [one for one in named if full[one]][: int(blocks.crew[block])]
        blocks.given[block] = first
        if block + 1 in blocks.given and blocks.role[block + 1] == OTHERS:
            blocks.given[block + 1] = [one for one in named if one not in first]


def _who_fits(a: Arrays, roster: Roster, table: np.ndarray, role: I32) -> np.ndarray:
    fits = np.zeros((len(table), len(roster.kind)), np.bool_)
    fill_fits(
        table, roster.rule, a.skill, role, roster.missing, roster.kind,
        np.ascontiguousarray(roster.skilled.T),
        np.ascontiguousarray(roster.leading.T),
        fits,
    )  # fmt: skip
    return fits


@allocating_kernel
def fill_fits(
    table: np.ndarray,
    rule: I32,
    skill: I32,
    role: I32,
    missing: np.ndarray,
    kind: I32,
    skilled: np.ndarray,
    leading: np.ndarray,
    fits: np.ndarray,
) -> None:
    """Fill in who has the skill of each block and is there throughout."""
    there = np.zeros(len(missing), np.bool_)
    same = (-1, -1, -1)  # blocks of the same time stand together
    for block in range(len(table)):
        start, finish, op = table[block, 0], table[block, 1], table[block, 2]
        if (start, finish, rule[op]) != same:
            same = (start, finish, rule[op])
            for one in range(len(missing)):
                asked = missing[one, rule[op]]
                there[one] = asked[finish] == asked[start]
        able = leading if role[block] == LEADS else skilled
        for person in range(len(kind)):
            fits[block, person] = able[skill[op], person] and there[kind[person]]


@kernel
def count_blocks(a: Arrays, index: I32, length: I32) -> int:
    """How many blocks a solution has."""
    count = 0
    for op in range(len(index)):
        if a.binding[op] == DONE or a.skill[op] < 0:
            continue
        base = a.track_at[a.track[op]]
        at = index[op]
        while at < index[op] + length[op]:
            at = a.run_end[base + at]
            count += 1
    return count


@kernel
def fill_blocks(
    a: Arrays, index: I32, length: I32, crew: I32, table: np.ndarray
) -> None:
    """Fill in start, finish, operation, crew and stored crew of each block."""
    row = 0
    for op in range(len(index)):
        if a.binding[op] == DONE or a.skill[op] < 0:
            continue
        base = a.track_at[a.track[op]]
        at, last = index[op], index[op] + length[op]
        stored = a.share_at[op]
        while at < last:
            end = min(a.run_end[base + at], last)
            table[row, 0] = a.ref_of[a.open_position[base + at]]
            table[row, 1] = a.ref_of[a.open_position[base + end - 1]] + 1
            table[row, 2] = op
            table[row, 3] = crew[op]
            table[row, 4] = stored
            row += 1
            stored += 1
            at = end


def work_spans(a: Arrays, solution: Solution) -> list[tuple[Span, ...]]:
    """Segments of each operation in reference ticks (maximal runs of its track).

    An operation that is done has none.
    """
    at = np.zeros(len(solution.index) + 1, np.int32)
    count_spans(a, solution.index, solution.length, at)
    np.cumsum(at, out=at)
    spans = np.zeros((at[-1], 2), np.int32)
    fill_spans(a, solution.index, solution.length, at, spans)
    pairs = [(start, finish) for start, finish in spans.tolist()]
    return [tuple(pairs[first:last]) for first, last in pairwise(at.tolist())]


@kernel
def count_spans(a: Arrays, index: I32, length: I32, count: I32) -> None:
    """Count the segments of each operation, one place further on."""
    for op in range(len(index)):
        base = a.track_at[a.track[op]]
        at = index[op]
        while a.binding[op] != DONE and at < index[op] + length[op]:
            at = a.run_end[base + at]
            count[op + 1] += 1


@kernel
def fill_spans(
    a: Arrays, index: I32, length: I32, span_at: I32, spans: np.ndarray
) -> None:
    """Fill in the segments of each operation."""
    for op in range(len(index)):
        base = a.track_at[a.track[op]]
        at, last = index[op], index[op] + length[op]
        for row in range(span_at[op], span_at[op + 1]):
            end = min(a.run_end[base + at], last)
            spans[row, 0] = a.ref_of[a.open_position[base + at]]
            spans[row, 1] = a.ref_of[a.open_position[base + end - 1]] + 1
            at = end
