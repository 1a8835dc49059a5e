"""From a solution and its people to the answer block of a plan."""

from __future__ import annotations

from collections import defaultdict
from itertools import chain
from typing import TYPE_CHECKING

import numpy as np

from scheduler.compiling.arrays import DONE, STARTED
from scheduler.levels import level_values
from scheduler.naming.roster import work_spans
from scheduler.overtime import worked_overtime
from scheduler.plan import Answer, Level, Occupation, OrderResult, Planned
from scheduler.problem import Service, Stint
from scheduler.service_work import worth_telling
from scheduler.servicing import plan_services

if TYPE_CHECKING:
    from collections.abc import Sequence

    from scheduler.compiling.compile import Compilation
    from scheduler.naming.names import Naming
    from scheduler.solution import Solution


Stints = dict[int, list[Stint]]  # by operation


def build_answer(
    compilation: Compilation,
    solution: Solution,
    naming: Naming,
    *,
    bound: int | None,
) -> Answer:
    """Write a solution as the answer block.

    Parameters
    ----------
    bound : int, optional
        A lower bound on level 1 that holds for the problem with its naming rule.
    """
    stated = compilation.stated
    occupations = list_occupations(compilation, solution)
    stints = list_stints(compilation, naming)
    operations = list_operations(compilation, solution, stints)
    orders = list_orders(compilation, solution)
    by_people = list_services(compilation, solution, stints)
    services = (
        *plan_services(stated, occupations),
        *worth_telling(stated, by_people, occupations),
    )
    values = level_values(stated, operations, occupations, orders, services)
    return Answer(
        operations=operations,
        occupations=occupations,
        orders=orders,
        levels=state_levels(stated.objective.levels, values, bound),
        services=services,
        overtime=worked_overtime(stated, operations, services),
    )


def list_operations(
    compilation: Compilation, solution: Solution, stints: Stints
) -> tuple[Planned, ...]:
    """Every operation with its segments, people, mold and place."""
    a = compilation.arrays
    molds, places = _resources_of(compilation, solution)
    facts = {one.operation: one for one in compilation.problem.committed}
    segments = work_spans(a, solution)
    planned = []
    for op in range(int(a.boat_at[a.boats])):
        name = compilation.operations[op]
        fact = facts.get(name)
        done = a.binding[op] == DONE
        start = a.fixed_start[op] if a.binding[op] == STARTED else solution.start[op]
        planned.append(
            Planned(
                operation=name,
                start=int(start),
                finish=int(solution.finish[op]),
                segments=segments[op],
                crew=0 if done or a.skill[op] < 0 else int(solution.crew[op]),
                people=tuple(stints[op]),
                mold=molds.get(op) or (fact.mold if fact else None),
                place=places.get(op) or (fact.place if fact else None),
            )
        )
    return tuple(planned)


def list_services(
    compilation: Compilation, solution: Solution, stints: Stints
) -> list[Service]:
    """Every service by people that is placed, needed or not."""
    a = compilation.arrays
    return [
        Service(
            compilation.service_of[compilation.orders[boat]],
            int(solution.start[op]),
            int(solution.finish[op]),
            tuple(stints[op]),
        )
        for boat in a.service_list.tolist()
        for op in [int(a.boat_at[boat])]
        if solution.length[op] > 0
    ]


def list_stints(compilation: Compilation, naming: Naming) -> Stints:
    """Join each person's consecutive blocks of an operation into stints."""
    stints: Stints = defaultdict(list)
    if not any(naming.people):
        return stints
    ids = [one.id for one in compilation.problem.people]
    by_name = np.argsort(np.argsort(ids))
    blocks = naming.blocks
    # Leads of a crew and the others are blocks apart, of one number in time.
    times = np.stack([blocks.op, blocks.start], axis=1)
    number = np.unique(times, axis=0, return_inverse=True)[1].reshape(-1)
    block = np.repeat(np.arange(len(times)), [len(one) for one in naming.people])
    person = np.fromiter(chain.from_iterable(naming.people), np.int64, len(block))
    order = np.lexsort((number[block], person, blocks.op[block]))
    block, person = block[order], person[order]
    op, at = blocks.op[block], number[block]
    same = (op[1:] == op[:-1]) & (person[1:] == person[:-1])
    stays = same & (at[1:] == at[:-1] + 1)
    first = np.flatnonzero(np.concatenate([[True], ~stays]))
    last = np.append(first[1:], len(block)) - 1
    start, finish = blocks.start[block[first]], blocks.finish[block[last]]
    op, person = op[first], person[first]
    order = np.lexsort((by_name[person], start, op))
    rows = np.stack([op, person, start, finish], axis=1)[order].tolist()
    for one, who, since, until in rows:
        stints[one].append(Stint(ids[who], since, until))
    return stints


def _resources_of(
    compilation: Compilation, solution: Solution
) -> tuple[dict[int, str], dict[int, str]]:
    """The mold and the place of each operation that begins or ends a hold."""
    a = compilation.arrays
    molds: dict[int, str] = {}
    places: dict[int, str] = {}
    for hold, slot in enumerate(solution.hold_slot):
        if slot < 0 or a.hold_is_limit[hold]:
            continue
        target = places if a.hold_is_place[hold] else molds
        name = compilation.resources[a.slot_resource[slot]]
        target[int(a.hold_from[hold])] = name
        target[int(a.hold_to[hold])] = name
    return molds, places


def list_occupations(
    compilation: Compilation, solution: Solution
) -> tuple[Occupation, ...]:
    """Every occupation of a mold or place that is not over."""
    a = compilation.arrays
    rows = []
    for hold, slot in enumerate(solution.hold_slot):
        order, part = compilation.hold_parts[hold]
        listed = order not in compilation.service_of and not a.hold_is_limit[hold]
        if slot >= 0 and listed:
            rows.append(
                Occupation(
                    compilation.resources[a.slot_resource[slot]],
                    order,
                    part,
                    int(solution.hold_start[hold]),
                    int(solution.hold_finish[hold]),
                )
            )
    return tuple(sorted(rows, key=lambda one: (one.resource, one.start, one.order)))


def list_orders(
    compilation: Compilation, solution: Solution
) -> tuple[OrderResult, ...]:
    """Finish, lateness and, where nothing was promised, the proposed date."""
    a, problem = compilation.arrays, compilation.problem
    results = []
    for boat, order in enumerate(problem.orders[: a.boats]):
        first, last = a.boat_at[boat], a.boat_at[boat + 1]
        finish = int(solution.finish[first:last].max())
        day = int(a.day_index[min(finish, a.ticks)])
        proposed = None
        if order.promised is None:
            ahead = min(day + problem.buffer_days, len(compilation.days) - 1)
            proposed = compilation.days[ahead].isoformat()
        late = max(0, day - int(a.boat_due[boat]))
        results.append(OrderResult(order.order, finish, proposed, late))
    return tuple(results)


def state_levels(
    names: Sequence[str], values: dict[str, float], bound: int | None
) -> tuple[Level, ...]:
    """Levels in order; a bound is stated only while every level before is proven.

    Levels that cannot be negative are proven where they are zero.
    """
    levels = []
    proven_so_far = True
    for place, name in enumerate(names):
        value = values[name]
        stated: float | None = None
        if proven_so_far:
            stated = float(bound) if place == 0 and bound is not None else None
            if place > 0 and value == 0:
                stated = 0.0
        proven = stated is not None and stated >= value - 1e-9
        status = "proven" if proven else "feasible" if stated is None else "bounded"
        levels.append(Level(name, value, stated, status))
        proven_so_far = proven_so_far and proven
    return tuple(levels)
