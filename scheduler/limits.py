"""What limits a yard's pace on the mix of a book: the throughput bound, named."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from scheduler.compiling.arrays import SERVICED
from scheduler.decoding.boat import place_boat
from scheduler.decoding.decoder import copy_state, new_state, open_boats
from scheduler.decoding.placing import Choices
from scheduler.decoding.stretches import close_stretches
from scheduler.searching.search import facts_of
from scheduler.throughput import Room, Throughput, labor_groups, throughput_bound

if TYPE_CHECKING:
    from scheduler.compiling.compile import Compilation

YEAR_DAYS = 365.0


@dataclass(frozen=True)
class Limits:
    """Most boats a year of the book's mix, and the resources that set that."""

    boats_a_year: float
    limited_by: tuple[str, ...]
    throughput: Throughput

    @property
    def text(self) -> str:
        """One clause: a single limit, or a tie called a tie."""
        if not self.limited_by:
            return "nothing limits"
        if len(self.limited_by) > 1:
            return f"no single limit: {' and '.join(self.limited_by)} tie"
        return f"{self.limited_by[0]} limits"


def limits_of(compilation: Compilation) -> Limits:
    """Bound the boats a year of a book's mix (see `scheduler.throughput`).

    How long a mold or place is held comes from each boat placed alone in an empty
    yard; molds and places are grouped by the models that can use them. People give
    the mean of their open hours over the plan's axis. Boats of the mix that are not
    begun yet count; where all are begun, all count. Other jobs are no boats.
    """
    mix = _mix(compilation)
    rooms = _rooms(compilation, mix)
    labor = labor_groups(
        compilation.subsets,
        _hours_per_boat(compilation, mix),
        _hours_a_year(compilation),
    )
    throughput = throughput_bound(YEAR_DAYS, rooms, labor)
    return Limits(throughput.bound, throughput.limited_by, throughput)


def _mix(compilation: Compilation) -> list[int]:
    a, orders = compilation.arrays, compilation.problem.orders
    boats = [int(boat) for boat in open_boats(a) if orders[boat].kind != "other"]
    whole = [
        boat
        for boat in boats
        if not a.binding[a.boat_at[boat] : a.boat_at[boat + 1]].any()
    ]
    return whole or boats


def _rooms(compilation: Compilation, mix: list[int]) -> list[Room]:
    """Molds and places by group of users, with days held per boat of the mix."""
    a = compilation.arrays
    state, empty = new_state(a), facts_of(a)
    empty.taken_count[:] = 0
    empty.last_from[:] = -1
    empty.last_to[:] = 0
    empty.free[:] = a.kinds_free
    empty.gone[:] = 0
    empty.least[:] = a.kinds_least
    empty.used[:] = 0
    held: dict[tuple[int, ...], float] = defaultdict(float)
    crew = np.zeros(len(a.boat_of), np.int8)
    delay = np.zeros(len(a.boat_of), np.int32)
    for boat in mix:
        copy_state(empty, state, 0)
        choices = Choices(np.array([boat], np.int32), crew, delay)
        close_stretches(a, state, choices)
        if not place_boat(a, state, choices, boat):
            continue
        for slot in range(len(state.taken_count)):
            for k in range(state.taken_count[slot]):
                hold = int(state.taken_by[slot, k])
                if a.hold_pull[hold] == SERVICED:
                    continue
                span = state.taken_to[slot, k] - state.taken_from[slot, k]
                held[_group(compilation, hold)] += float(span) / a.ticks_per_day
    return [
        Room(_group_name(compilation, group), len(group), days / max(1, len(mix)))
        for group, days in sorted(held.items())
    ]


def _group(compilation: Compilation, hold: int) -> tuple[int, ...]:
    a = compilation.arrays
    part = slice(a.candidate_at[hold], a.candidate_at[hold + 1])
    return tuple(int(slot) for slot in a.candidate_slot[part])


def _group_name(compilation: Compilation, group: tuple[int, ...]) -> str:
    a, problem = compilation.arrays, compilation.problem
    name = compilation.resources[a.slot_resource[group[0]]]
    for mold in problem.molds:
        if mold.id == name:
            return f"{mold.part} mold for {', '.join(mold.models)}"
    if a.slot_resource[group[0]] >= len(problem.molds) + len(problem.places):
        return str(name)  # a limit on work in process
    place = next(one for one in problem.places if one.id == name)
    return f"{place.kind} for {', '.join(place.models)}" if place.models else place.kind


def _hours_per_boat(compilation: Compilation, mix: list[int]) -> dict[str, float]:
    orders = {compilation.orders[boat] for boat in mix}
    hours: dict[str, float] = defaultdict(float)
    for one in compilation.problem.operations:
        if one.order in orders and one.skill:
            hours[one.skill] += one.labor_hours / max(1, len(mix))
    return hours


def _hours_a_year(
    compilation: Compilation,
) -> list[tuple[tuple[str, ...], float]]:
    """Skills and hours a year of each person, at the mean of the plan's axis."""
    problem = compilation.problem
    axis = problem.axis
    span_days = max(1, axis.ticks - problem.now) / axis.ticks_per_day
    out = []
    for person in problem.people:
        ticks = sum(
            finish - max(start, problem.now)
            for start, finish in person.available
            if finish > problem.now
        )
        hours = ticks * axis.tick_minutes / 60
        out.append((person.counts_for, hours / span_days * YEAR_DAYS))
    return out
