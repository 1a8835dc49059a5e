"""What an operation must not meet at its stations and in its parts (compiled)."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scheduler.compiling.arrays import (
    CLASHING,
    DONE,
    FAR,
    ROOMY,
    SPECIAL,
    STARTED,
    Arrays,
)
from scheduler.decoding.kernel import inlined, kernel
from scheduler.decoding.openings import opening_miss

if TYPE_CHECKING:
    from scheduler.decoding.placing import State


@inlined
def later_start(a: Arrays, s: State, op: int, start: int, finish: int) -> int:
    """Return -1 if nothing is in the way from start to finish, else a later tick."""
    traits, later = a.traits[op], -1
    if traits & ROOMY:
        later = station_miss(a, s, op, start, finish)
    if traits & CLASHING:
        later = max(later, clash_miss(a, s, op, start, finish))
    if traits & SPECIAL:
        if a.setup_row[op] >= 0:
            later = max(later, setup_miss(a, s, op, start, finish))
        if a.opening_row[op] >= 0:
            later = max(later, opening_miss(a, s, op, start))
    return int(later)


@inlined
def station_miss(a: Arrays, s: State, op: int, start: int, finish: int) -> int:
    """Return -1 if stations have room from start to finish, else a later tick."""
    for k in range(a.demand_at[op], a.demand_at[op + 1]):
        station = a.demand_station[k]
        room = a.station_capacity[station] - a.demand_amount[k]
        first, last = a.position_at[start], a.position_at[finish]
        for position in range(last - 1, first - 1, -1):
            if s.used[station, position] > room:
                return int(a.ref_of[position]) + 1
    return -1


@inlined
def clash_miss(a: Arrays, s: State, op: int, start: int, finish: int) -> int:
    """Return -1 if no exclusive work overlaps, else the tick at which that one ends."""
    for k in range(a.clash_at[op], a.clash_at[op + 1]):
        other = a.clash_list[k]
        if s.placed[other] and s.start[other] < finish and start < s.finish[other]:
            return int(s.finish[other])
    return -1


@kernel
def setup_miss(a: Arrays, s: State, op: int, start: int, finish: int) -> int:
    """Return -1 if each change of color has its set-up, else a later tick.

    Work that has begun comes before all that has not; what facts put in order is not
    looked at.
    """
    row, family = a.setup_row[op], a.setup_family[op]
    begun = a.binding[op] == STARTED
    later = -1
    for k in range(a.setup_at[row], a.setup_at[row + 1]):
        other = a.setup_list[k]
        if other == op or not s.placed[other]:
            continue
        first = a.binding[other] == DONE or a.binding[other] == STARTED
        if begun and first:
            continue
        before = s.finish[other] + a.setup_ticks[a.setup_family[other], family]
        after = finish + a.setup_ticks[family, a.setup_family[other]]
        if begun and after > s.start[other]:
            return int(FAR)
        if before > start and (first or after > s.start[other]):
            later = max(later, before)
    return int(later)
