"""From choices to a plan with names: decode, name, and decode apart what clashes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from scheduler.compiling.arrays import FREE
from scheduler.decoding.decoder import VALUES, decode, due_positions, new_state
from scheduler.decoding.placing import Choices, copied
from scheduler.naming.names import Clash, Memory, Naming, name_people
from scheduler.naming.nudge import nudge
from scheduler.naming.roster import Roster, build_roster
from scheduler.solution import Solution, snapshot

if TYPE_CHECKING:
    from scheduler.compiling.arrays import I32, Arrays
    from scheduler.compiling.compile import Compilation
    from scheduler.decoding.placing import State

MOST_CUTS = 60
CREW_ROUNDS = 12
MOST_NUDGES = 20


@dataclass(frozen=True)
class Settled:
    """A solution with people for all of it, and how many cuts that took."""

    solution: Solution
    naming: Naming
    cuts: int


def settle(compilation: Compilation, facts: State, choices: Choices) -> Settled | None:
    """Decode choices until everybody can be named; None if that does not end well.

    A clash is mended where it stands if one of its operations can begin a little
    later, or go with another crew, without anything else having to move. Otherwise it
    is cut: the cheapest of such changes is made a choice and all is decoded again.
    """
    a = compilation.arrays
    state, value = new_state(a), np.zeros(VALUES, np.int64)
    due = due_positions(a)
    roster, memory = build_roster(compilation), Memory()
    tried = copied(choices)
    for cuts in range(MOST_CUTS):
        if not decode(a, facts, state, tried, due, value):
            return None
        solution, naming = mend(compilation, roster, state, tried, memory)
        if not naming.clashes:
            if not memory.stale:
                return Settled(solution, naming, cuts)
            memory.easy.clear()
            known = naming.blocks
            naming = name_people(compilation, roster, solution, memory, known)
            return Settled(solution, naming, cuts)
        for clash in naming.clashes:
            options = _cuts(compilation, solution, clash, cuts)
            if not options:
                return None
            if not _take_best(a, facts, state, tried, due, options):
                return None
    return None


def settle_plan(
    compilation: Compilation, plan: State, choices: Choices
) -> Settled | None:
    """Name a whole plan as it is, mending it where it stands; None if that fails.

    The plan is changed by mending.
    """
    roster, memory = build_roster(compilation), Memory()
    solution, naming = mend(compilation, roster, plan, choices, memory)
    return None if naming.clashes else Settled(solution, naming, 0)


def mend(
    compilation: Compilation,
    roster: Roster,
    state: State,
    choices: Choices,
    memory: Memory,
) -> tuple[Solution, Naming]:
    """Name a decoded plan, nudging operations of clashes apart as far as that goes."""
    a = compilation.arrays
    solution = snapshot(a, state)
    naming = name_people(compilation, roster, solution, memory)
    for _ in range(MOST_NUDGES):
        moved = [_nudge_one(a, state, choices, clash) for clash in naming.clashes]
        if not any(moved):
            break
        solution = snapshot(a, state)
        naming = name_people(compilation, roster, solution, memory)
    return solution, naming


def next_stretch(a: Arrays, op: int, start: int) -> int:
    """When the calendar of an operation opens again after a break or stop.

    Crews that begin there can be put together freely, which is why work that begins
    inside a stretch is what makes naming fail.
    """
    track = a.track[op]
    base = a.track_at[track]
    index = int(a.run_end[base + a.open_index[track, a.position_at[start]]])
    last = int(a.track_at[track + 1] - base) - 1
    return int(a.ref_of[a.open_position[base + min(index, last)]])


def begins_inside(a: Arrays, op: int, start: int) -> bool:
    """Whether an operation begins inside a stretch of its calendar."""
    track = a.track[op]
    base = a.track_at[track]
    index = int(a.open_index[track, a.position_at[start]])
    return index > 0 and bool(
        a.ref_of[a.open_position[base + index]]
        == a.ref_of[a.open_position[base + index - 1]] + 1
    )


def _nudge_one(a: Arrays, state: State, choices: Choices, clash: Clash) -> bool:
    """Let one operation of a clash begin at the next stretch, or with fewer people."""
    free = [op for op in clash.operations if a.binding[op] == FREE]
    inside = [
        op
        for op in free
        if state.start[op] >= clash.since and begins_inside(a, op, int(state.start[op]))
    ]
    inside.sort(key=lambda op: (int(a.one_go[op]), -int(state.start[op])))
    for op in inside:
        later = next_stretch(a, op, int(state.start[op]))
        if nudge(a, state, choices, op, later, int(state.crew[op])):
            return True
    for op in inside + [op for op in free if op not in inside]:
        start, crew = int(state.start[op]), int(state.crew[op])
        for size in range(crew - 1, int(a.crew_min[op]) - 1, -1):
            if nudge(a, state, choices, op, start, size):
                return True
    return False


def _cuts(
    compilation: Compilation, solution: Solution, clash: Clash, round_: int
) -> list[tuple[int, int, int]]:
    """Ways to pull a clash apart: (operation, not before, crew).

    Later rounds only delay, by more each time, so that the cutting ends.
    """
    a = compilation.arrays
    free = [op for op in clash.operations if a.binding[op] == FREE]
    fresh = [op for op in free if solution.start[op] >= clash.since]
    options = []
    for op in fresh or free:
        start, crew = int(solution.start[op]), int(solution.crew[op])
        if begins_inside(a, op, start) or round_ >= CREW_ROUNDS or not fresh:
            options.append((op, next_stretch(a, op, start), crew))
        if round_ < CREW_ROUNDS:
            sizes = range(int(a.crew_min[op]), int(a.crew_max[op]) + 1)
            options += [(op, 0, size) for size in sizes if size != crew]
    return options or [
        (op, next_stretch(a, op, int(solution.start[op])), int(solution.crew[op]))
        for op in free
    ]


def _take_best(
    a: Arrays,
    facts: State,
    state: State,
    tried: Choices,
    due: I32,
    options: list[tuple[int, int, int]],
) -> bool:
    """Apply the cut after which the plan is worth most; False if none decodes."""
    best: tuple[tuple[int, ...], tuple[int, int, int]] | None = None
    value = np.zeros(VALUES, np.int64)
    for op, delay, crew in options:
        before = int(tried.delay[op]), int(tried.crew[op])
        tried.delay[op], tried.crew[op] = max(before[0], delay), crew
        if decode(a, facts, state, tried, due, value):
            worth = tuple(int(one) for one in value)
            if best is None or worth < best[0]:
                best = worth, (op, delay, crew)
        tried.delay[op], tried.crew[op] = before
    if best is None:
        return False
    op, delay, crew = best[1]
    tried.delay[op], tried.crew[op] = max(int(tried.delay[op]), delay), crew
    return True
