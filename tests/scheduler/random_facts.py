"""Facts drawn at random: the clock set into the midst of a decoded plan."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from random import Random

import numpy as np

from scheduler.compiling.arrays import FREE, I64, Arrays
from scheduler.compiling.compile import Compilation, compile_problem
from scheduler.decoding.decoder import (
    decode,
    due_positions,
    facts_state,
    new_state,
    open_boats,
)
from scheduler.decoding.placing import Choices
from scheduler.problem import Committed, Operation, Problem
from scheduler.solution import Solution, snapshot


def random_plan(compilation: Compilation, random: Random) -> Solution | None:
    """Decode a random order of boats with random crews; None if no plan comes of it."""
    a = compilation.arrays
    facts, sound = facts_state(a)
    if not sound:
        return None
    count = len(a.boat_of)
    boats = open_boats(a).tolist()
    random.shuffle(boats)
    crew = [random.choice((0, 0, _random_crew(a, op, random))) for op in range(count)]
    choices = Choices(
        np.array(boats, np.int32),
        np.array(crew, np.int8),
        np.zeros(count, np.int32),
    )
    state = new_state(a)
    value: I64 = np.zeros(8, np.int64)
    if not decode(a, facts, state, choices, due_positions(a), value):
        return None
    return snapshot(a, state)


def _random_crew(a: Arrays, op: int, random: Random) -> int:
    """A crew with which an operation fits its shifts."""
    first, last = a.track_at[a.track[op]], a.track_at[a.track[op] + 1]
    longest = int((a.run_end[first:last] - np.arange(last - first)).max())
    crews = [
        int(a.crew_min[op]) + place
        for place, length in enumerate(a.length[a.length_at[op] : a.length_at[op + 1]])
        if not a.one_go[op] or length <= longest
    ]
    return random.choice(crews)


def in_the_midst(problem: Problem, random: Random) -> Problem:
    """Set the clock into a plan: what was done by then, begun, or pinned for later.

    The problem is returned as it is where no plan comes of it.
    """
    compilation = compile_problem(problem)
    plan = random_plan(compilation, random)
    if plan is None:
        return problem
    first = problem.axis.local(0).date()
    days = (problem.axis.local(int(plan.finish.max())).date() - first).days
    now = problem.axis.day_start(
        first + timedelta(days=random.randint(1, max(1, days // 2)))
    )
    homes = _homes(compilation, plan)
    pinning = random.random() < 0.4
    committed: list[Committed] = []
    operations: list[Operation] = []
    for index, one in enumerate(problem.operations):
        start, finish = int(plan.start[index]), int(plan.finish[index])
        fact = Committed(
            operation=one.id,
            start=start,
            finish=None,
            mold=homes.get((index, False)),
            place=homes.get((index, True)),
            people=(),
            why="started",
        )
        operation = replace(one, earliest=max(one.earliest, now))
        if start < now and finish <= now:
            committed.append(replace(fact, finish=finish, why="done"))
            operation = replace(one, earliest=start)
        elif start < now:
            committed.append(fact)
            operation = _remainder(operation, compilation, plan, index, now)
        elif pinning and start < now + 3 * problem.axis.ticks_per_day:
            crew = int(plan.crew[index])
            committed.append(replace(fact, why="locked", crew=crew))
        operations.append(operation)
    return replace(
        problem, now=now, operations=tuple(operations), committed=tuple(committed)
    )


def _homes(compilation: Compilation, plan: Solution) -> dict[tuple[int, bool], str]:
    """Mold (False) and place (True) by the operations that begin and end a hold."""
    a = compilation.arrays
    homes = {}
    for hold, slot in enumerate(plan.hold_slot):
        if slot >= 0 and not a.hold_is_limit[hold]:
            name = compilation.resources[a.slot_resource[slot]]
            for op in (a.hold_from[hold], a.hold_to[hold]):
                homes[int(op), bool(a.hold_is_place[hold])] = name
    return homes


def _remainder(
    operation: Operation, compilation: Compilation, plan: Solution, index: int, now: int
) -> Operation:
    """The operation with what is left of it from now on, as the plan had it."""
    a = compilation.arrays
    assert a.binding[index] == FREE
    track, at = a.track[index], a.position_at[now]
    worked = int(a.open_index[track, at] - plan.index[index])
    left = int(plan.length[index]) - worked
    tick = compilation.problem.axis.tick_minutes
    if operation.skill is None:
        return replace(operation, duration_minutes=left * tick)
    hours = min(left * int(plan.crew[index]) * tick / 60, operation.labor_hours)
    return replace(operation, remaining_hours=hours)
