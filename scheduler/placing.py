"""Finding the first start of one operation at which people and stations suffice.

Compiled, over flat arrays. People are counted by *kind* (same skills, same hours),
eight lanes to a 64-bit word, the top bit of each lane a guard. An operation takes for
each stretch between breaks and stops a crew that is there from its beginning to its
end, people with the fewest skills first. People of one kind can be exchanged freely,
so a plan made this way can always be manned by name, whatever the order of placing.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from scheduler.compiled import I8, I32, LANE_BITS, LANES, U64, Arrays
from scheduler.kernel import kernel

GUARD = np.uint64(0x8080808080808080)
LANE = np.uint64(0xFF)
PAIRS = np.uint64(0x00FF00FF00FF00FF)
ONES = np.uint64(0x0001000100010001)
ALL = np.uint64(0xFFFFFFFFFFFFFFFF)


class State(NamedTuple):
    """What has been placed so far; every array is overwritten in place."""

    free: U64  # [positions, words] people left, by kind
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
    need: U64  # people of each kind who stay through a stretch, or are taken
    waiting: I32  # boats to be tried again
    share: U64  # [stretches, words] crew of each stretch of each operation, by kind


class Choices(NamedTuple):
    """What a search decides; the decoder does the rest."""

    order: I32  # boats with something left to plan, first placed first
    crew: I8  # per operation: crew size, 0 for the one that finishes first
    delay: I32  # per operation: not before this tick


@kernel
def fewer(left: np.uint64, right: np.uint64) -> np.uint64:
    """The smaller of two counters in each lane."""
    keep = ((left | GUARD) - right) & GUARD  # guards of lanes where left is not smaller
    mask = keep - (keep >> np.uint64(7))  # all ones there, below the guard
    return left ^ ((left ^ right) & mask)


@kernel
def lane_sum(word: np.uint64) -> int:
    """Sum of the counters of a word."""
    pairs = (word & PAIRS) + ((word >> np.uint64(8)) & PAIRS)
    return np.int64((pairs * ONES) >> np.uint64(48))  # type: ignore[return-value]


@kernel
def stretch_miss(
    a: Arrays, s: State, skill: int, crew: int, base: int, first: int, last: int
) -> int:
    """Return -1 if one crew can stay through open indices first..last, else a miss.

    Scanned backwards: whoever starts at or before the miss falls short. `s.need` is
    left with the people of each kind who are there throughout.
    """
    if a.word_to[skill] - a.word_from[skill] == 1 and not a.some_rest:
        return narrow_miss(a, s, skill, crew, base, first, last)
    word_from, word_to = a.word_from[skill], a.word_to[skill]
    for word in range(word_from, word_to):
        s.need[word] = a.able[skill, word] & (ALL ^ GUARD)
    for index in range(last, first - 1, -1):
        position = a.open_position[base + index]
        have = 0
        for word in range(word_from, word_to):
            free = s.free[position, word]
            if a.some_rest and not a.in_break[base + index]:
                free -= fewer(free, a.kinds_resting[position, word])
            left = fewer(s.need[word], free) & a.able[skill, word]
            s.need[word] = left
            have += lane_sum(left)
        if have < crew:
            return index
    return -1


@kernel
def narrow_miss(
    a: Arrays, s: State, skill: int, crew: int, base: int, first: int, last: int
) -> int:
    """`stretch_miss` for a skill whose kinds share one word: the common case.

    First tick by tick, which finds most misses and keeps the processor's pipeline
    full; then who stays throughout what is left after the miss.
    """
    word = np.uintp(a.word_from[skill])
    able = a.able[skill, word]
    miss = last
    while miss >= first:
        position = np.uintp(a.open_position[np.uintp(base + miss)])
        if lane_sum(s.free[position, word] & able) < crew:
            break
        miss -= 1
    stay = able & (ALL ^ GUARD)
    for index in range(last, miss, -1):
        position = np.uintp(a.open_position[np.uintp(base + index)])
        stay = fewer(stay, s.free[position, word] & able)
    s.need[word] = stay
    if lane_sum(stay) >= crew:
        return -1 if miss < first else miss
    stay = able & (ALL ^ GUARD)
    index = last
    while lane_sum(stay) >= crew:
        stay = fewer(stay, s.free[a.open_position[base + index], word] & able)
        index -= 1
    return index + 1


@kernel
def crew_miss(
    a: Arrays, s: State, op: int, crew: int, base: int, first: int, last: int
) -> int:
    """Return -1 if a crew can be had for every stretch of first..last, else a miss."""
    while last >= first:
        begin = max(first, a.run_begin[base + last])
        miss = stretch_miss(a, s, a.skill[op], crew, base, begin, last)
        if miss >= 0:
            return miss
        last = begin - 1
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
) -> int:
    """Find the first open index at which an operation can run; -1 if there is none.

    Parameters
    ----------
    from_tick, finish_from : int
        Earliest start and earliest finish, in reference ticks.
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
    crewed = a.skill[op] >= 0
    checked = x  # from x to here, crews are known to be had for whole stretches
    while x + length <= opens:
        if a.one_go[op] and x + length > a.run_end[base + x]:
            x = a.run_end[base + x]
            continue
        if crewed:
            last = x + length - 1
            miss = crew_miss(a, s, op, crew, base, max(x, checked), last)
            checked = a.run_begin[base + last]
            if miss >= 0:
                x = miss + 1
                continue
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
def span_of(a: Arrays, op: int, index: int, length: int) -> tuple[int, int]:
    """Reference ticks [start, finish) of an operation that works from an open index."""
    base = a.track_at[a.track[op]]
    return (
        int(a.ref_of[a.open_position[base + index]]),
        int(a.ref_of[a.open_position[base + index + length - 1]]) + 1,
    )


@kernel
def take(a: Arrays, s: State, op: int, sign: int) -> None:
    """Take (sign 1) or give back (sign -1) an operation's people and station room."""
    length = s.length[op]
    if length == 0:
        return
    base = a.track_at[a.track[op]]
    if a.skill[op] >= 0:
        first, end = s.begin[op], s.begin[op] + length
        row = a.share_at[op]
        word_from, word_to = a.word_from[a.skill[op]], a.word_to[a.skill[op]]
        while first < end:
            last = min(a.run_end[base + first], end) - 1
            if sign > 0:
                choose_crew(a, s, op, base, first, last, row)
            for index in range(first, last + 1):
                position = a.open_position[base + index]
                for word in range(word_from, word_to):
                    if sign > 0:
                        s.free[position, word] -= s.share[row, word]
                    else:
                        s.free[position, word] += s.share[row, word]
            first = last + 1
            row += 1
    if a.demand_at[op] < a.demand_at[op + 1]:
        start, finish = span_of(a, op, s.begin[op], length)
        for k in range(a.demand_at[op], a.demand_at[op + 1]):
            for position in range(a.position_at[start], a.position_at[finish]):
                s.used[a.demand_station[k], position] += sign * a.demand_amount[k]


@kernel
def choose_crew(
    a: Arrays, s: State, op: int, base: int, first: int, last: int, row: int
) -> None:
    """Write the crew of one stretch, by kind: lanes in order, fewest skills first."""
    wanted = s.crew[op]
    skill = a.skill[op]
    stretch_miss(a, s, skill, wanted, base, first, last)
    for word in range(a.word_from[skill], a.word_to[skill]):
        s.share[row, word] = np.uint64(0)
        for lane in range(LANES):
            shift = np.uint64(LANE_BITS * lane)
            there = np.int64((s.need[word] >> shift) & LANE)
            taken = min(wanted, there)
            s.share[row, word] |= np.uint64(taken) << shift
            wanted -= taken
