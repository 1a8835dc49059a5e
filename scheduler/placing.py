"""Finding the first start of one operation at which people and stations suffice.

Compiled, over flat arrays. People at work are kept as counters by skill subset, four
16-bit lanes to a 64-bit word; the top bit of each lane is a guard, so that one
subtraction tells whether all four subsets can give what an operation asks for.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from scheduler.compiled import I8, I32, U64, Arrays
from scheduler.kernel import kernel

GUARD = np.uint64(0x8000800080008000)


class State(NamedTuple):
    """What has been placed so far; every array is overwritten in place."""

    free: U64  # [positions, words] people left, by subset
    used: I32  # [stations, positions] station capacity taken
    # slots: occupations in order of time
    taken_from: I32  # [slots, room]
    taken_to: I32
    taken_by: I32  # hold, -1: outage
    taken_count: I32
    # operations
    placed: I8
    start: I32
    finish: I32
    crew: I32
    begin: I32  # first worked open index on the operation's track
    length: I32  # worked ticks
    # bounds found while a boat is being placed
    least_start: I32
    least_finish: I32
    hold_need: I32
    # holds
    hold_slot: I32
    hold_start: I32
    # scratch
    need: U64  # what a crew takes from each subset counter
    waiting: I32  # boats to be tried again


class Choices(NamedTuple):
    """What a search decides; the decoder does the rest."""

    order: I32  # boats with something left to plan, first placed first
    crew: I8  # per operation: crew size, 0 for the one that finishes first
    delay: I32  # per operation: not before this tick


@kernel
def window_is_free(
    a: Arrays, s: State, base: int, first: int, last: int, need: U64
) -> int:
    """Return -1 if people suffice on open indices first..last, else the latest miss.

    `base` is the track's offset; indices are scanned backwards, because a miss rules
    out every start up to it.
    """
    words = s.free.shape[1]
    for index in range(last, first - 1, -1):
        position = a.open_position[base + index]
        for word in range(words):
            if (
                need[word] != 0
                and (((s.free[position, word] | GUARD) - need[word]) & GUARD) != GUARD
            ):
                return index
    return -1


@kernel
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


@kernel
def clash_miss(a: Arrays, s: State, op: int, start: int, finish: int) -> int:
    """Return -1 if no exclusive work overlaps, else the tick at which that one ends."""
    for k in range(a.clash_at[op], a.clash_at[op + 1]):
        other = a.clash_list[k]
        if s.placed[other] and s.start[other] < finish and start < s.finish[other]:
            return int(s.finish[other])
    return -1


@kernel
def first_start(
    a: Arrays,
    s: State,
    op: int,
    crew: int,
    from_tick: int,
    finish_from: int,
    need: U64,
) -> int:
    """Find the first open index at which an operation can run; -1 if there is none.

    Parameters
    ----------
    from_tick, finish_from : int
        Earliest start and earliest finish, in reference ticks.
    need : array of uint64, scratch
        Filled with what the crew takes from each subset counter.
    """
    track = a.track[op]
    base = a.track_at[track]
    opens = a.track_at[track + 1] - base
    length = operation_length(a, op, crew)
    if from_tick >= a.ticks or finish_from > a.ticks:
        return -1
    x = a.open_index[track, a.position_at[from_tick]]
    if finish_from > 0:
        last = a.open_index[track, a.position_at[finish_from - 1]]
        x = max(x, last - length + 1)
    fill_need(a, op, crew, need)
    crewed = a.skill[op] >= 0
    checked = x  # indices from x up to here are known to have the people
    while x + length <= opens:
        if a.one_go[op] and x + length > a.run_end[base + x]:
            x = a.run_end[base + x]
            continue
        if crewed:
            miss = window_is_free(a, s, base, max(x, checked), x + length - 1, need)
            if miss >= 0:
                checked, x = x + length, miss + 1
                continue
            checked = x + length
        start = a.ref_of[a.open_position[base + x]]
        finish = a.ref_of[a.open_position[base + x + length - 1]] + 1
        later = max(
            station_miss(a, s, op, start, finish), clash_miss(a, s, op, start, finish)
        )
        if later < 0:
            return int(x)
        x = max(x + 1, a.open_index[track, a.position_at[min(later, a.ticks)]])
    return -1


@kernel
def operation_length(a: Arrays, op: int, crew: int) -> int:
    """Worked ticks of an operation with a crew."""
    if a.skill[op] < 0:
        return int(a.length[a.length_at[op]])
    return int(a.length[a.length_at[op] + crew - a.crew_min[op]])


@kernel
def fill_need(a: Arrays, op: int, crew: int, need: U64) -> None:
    """Write what a crew takes from each subset counter."""
    skill = a.skill[op]
    for word in range(need.shape[0]):
        if skill >= 0:
            need[word] = np.uint64(crew) * a.unit[skill, word]
        else:
            need[word] = np.uint64(0)


@kernel
def span_of(a: Arrays, op: int, index: int, length: int) -> tuple[int, int]:
    """Reference ticks [start, finish) of an operation that works from an open index."""
    base = a.track_at[a.track[op]]
    return (
        int(a.ref_of[a.open_position[base + index]]),
        int(a.ref_of[a.open_position[base + index + length - 1]]) + 1,
    )


@kernel
def take(a: Arrays, s: State, op: int, need: U64, sign: int) -> None:
    """Take (sign 1) or give back (sign -1) an operation's people and station room."""
    length = s.length[op]
    if length == 0:
        return
    base = a.track_at[a.track[op]]
    words = need.shape[0]
    if a.skill[op] >= 0:
        fill_need(a, op, s.crew[op], need)
        for index in range(s.begin[op], s.begin[op] + length):
            position = a.open_position[base + index]
            for word in range(words):
                if sign > 0:
                    s.free[position, word] -= need[word]
                else:
                    s.free[position, word] += need[word]
    if a.demand_at[op] < a.demand_at[op + 1]:
        start, finish = span_of(a, op, s.begin[op], length)
        for k in range(a.demand_at[op], a.demand_at[op + 1]):
            for position in range(a.position_at[start], a.position_at[finish]):
                s.used[a.demand_station[k], position] += sign * a.demand_amount[k]
