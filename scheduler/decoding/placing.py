"""Finding the first start of one operation at which people and stations suffice.

Compiled, over flat arrays. People are counted by *kind* (same skills, same hours),
eight lanes to a 64-bit word, the top bit of each lane a guard. An operation takes for
each stretch between breaks and stops a crew that is there from its beginning to its
end, people with the fewest skills first; where its skill has apprentices, so many of it
are none. People of one kind can be exchanged freely, so a plan made this way can
always be manned by name, whatever the order of placing.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from scheduler.compiling.arrays import (
    I8,
    I32,
    I64,
    NARROW,
    U64,
    UNBROKEN,
    Arrays,
    TableI32,
    TableU64,
)
from scheduler.decoding.bundle import Bundle
from scheduler.decoding.kernel import inlined, kernel
from scheduler.decoding.lanes import ALL, GUARD, fewer, lane_sum
from scheduler.decoding.leads import leads_there
from scheduler.decoding.sharing import later_start


@dataclass(frozen=True, eq=False)
class State(Bundle):
    """What has been placed so far; every array is overwritten in place."""

    # people left, by kind: `free` of a position less `gone` of its segment
    free: TableU64  # [words, positions]
    gone: TableU64  # [words, segments] taken over the whole segment
    least: TableU64  # [words, segments] the fewest left over the segment
    used: TableI32  # [stations, positions] station capacity taken
    # slots: occupations in order of time
    taken_from: TableI32  # [slots, room]
    taken_to: TableI32
    taken_by: TableI32  # hold, -1: outage
    taken_count: I32
    last_from: I32  # of the last occupation of each slot, kept together; -1 if none
    last_to: I32
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
    # while a boat is being placed: what is placed and has not taken its people yet
    unmanned: I8  # per operation
    unmanned_until: I32  # one entry: the last finish of those; 0: there are none
    # per operation, where it was found to start first and from which bounds on; that
    # stands as long as no work of its boat has taken or given back people (`turn`)
    found_turn: I64
    found_from: I32
    found_finish_from: I32
    turn: I64  # one entry, counted on and never set back
    hold_need: I32
    # holds
    hold_slot: I32
    hold_start: I32
    # scratch
    slot_found: I32  # for each hold, by the last look
    need: U64  # people of each kind who stay through a stretch, or are taken
    waiting: I32  # boats to be tried again
    share: (
        TableU64  # [words, stretches] crew of each stretch of each operation, by kind
    )


@dataclass(frozen=True, eq=False)
class Choices(Bundle):
    """What a search decides; the decoder does the rest."""

    order: I32  # boats with something left to plan, first placed first
    crew: I8  # per operation: crew size, 0 for the one that finishes first
    delay: I32  # per operation: not before this tick


def copied(choices: Choices) -> Choices:
    """The same choices in arrays of their own."""
    return Choices(choices.order.copy(), choices.crew.copy(), choices.delay.copy())


@kernel
def stretch_miss(
    a: Arrays,
    s: State,
    skill: int,
    crew: int,
    leads: int,
    base: int,
    first: int,
    last: int,
) -> int:
    """Return -1 if one crew can stay through open indices first..last, else a miss.

    At least `leads` of it are no apprentices. Scanned backwards: whoever starts at or
    before the miss falls short. `s.need` is left with the people of each kind who are
    there throughout.
    """
    word_from, word_to = a.word_from[skill], a.word_to[skill]
    for word in range(word_from, word_to):
        s.need[word] = a.able[skill, word] & (ALL ^ GUARD)
    index = last
    while index >= first:
        position = a.open_position[base + index]
        segment = a.segment_of[position]
        ticks = position - a.segment_at[segment] + 1
        if (
            not a.some_rest
            and index - ticks + 1 >= first
            and position + 1 == a.segment_at[segment + 1]
            and whole_segment(a, s, skill, crew, leads, segment)
        ):
            index -= ticks
            continue
        have = 0
        for word in range(word_from, word_to):
            free = s.free[word, position] - s.gone[word, segment]
            if a.some_rest and not a.in_break[base + index]:
                free -= fewer(free, a.kinds_resting[word, position])
            left = fewer(s.need[word], free) & a.able[skill, word]
            s.need[word] = left
            have += lane_sum(left)
        if have < crew or (leads and leads_there(a, s, skill) < leads):
            return index
        index -= 1
    return -1


@kernel
def whole_segment(
    a: Arrays, s: State, skill: int, crew: int, leads: int, segment: int
) -> bool:
    """Whether a crew stays through a whole segment; `s.need` follows if so."""
    have = able = 0
    for word in range(a.word_from[skill], a.word_to[skill]):
        left = fewer(s.need[word], s.least[word, segment] & a.able[skill, word])
        have += lane_sum(left)
        if leads:
            able += lane_sum(left & a.leading_kinds[skill, word])
    if have < crew or able < leads:
        return False
    for word in range(a.word_from[skill], a.word_to[skill]):
        s.need[word] = fewer(s.need[word], s.least[word, segment] & a.able[skill, word])
    return True


@inlined
def narrow_miss(
    a: Arrays, s: State, skill: int, crew: int, base: int, first: int, last: int
) -> int:
    """`stretch_miss` for NARROW operations.

    Ticks of a stretch are consecutive positions. A segment that lies in it whole is
    judged by the fewest people in it; only where that fails is it scanned.
    """
    word = a.word_from[skill]
    low = a.open_position[base + first]
    position = a.open_position[base + last]
    segment = a.segment_of[position]
    stay = a.able[skill, word] & (ALL ^ GUARD)  # nobody else is counted below
    while position >= low:
        begin = a.segment_at[segment]
        if begin >= low and position + 1 == a.segment_at[segment + 1]:
            left = fewer(stay, s.least[word, segment])
            if lane_sum(left) >= crew:
                stay = left
                position = begin - 1
                segment -= 1
                continue
        begin = max(begin, low)
        gone = s.gone[word, segment]
        stay += gone
        enough = crew + lane_sum(gone)
        while position >= begin:
            stay = fewer(stay, s.free[word, position])
            if lane_sum(stay) < enough:
                return int(first + position - low)
            position -= 1
        stay -= gone
        segment -= 1
    s.need[word] = stay
    return -1


@inlined
def whole_run(
    a: Arrays, s: State, skill: int, base: int, first: int, last: int
) -> np.uint64:
    """Who stays through a whole run, for a skill whose kinds share one word."""
    word = a.word_from[skill]
    final = a.segment_in[base + last]  # often the only one
    stay = fewer(a.able[skill, word] & (ALL ^ GUARD), s.least[word, final])
    for segment in range(a.segment_in[base + first], final):
        stay = fewer(stay, s.least[word, segment])
    return np.uint64(stay)


@inlined
def crew_miss(
    a: Arrays, s: State, op: int, crew: int, base: int, first: int, last: int
) -> int:
    """Return -1 if a crew can be had for every stretch of first..last, else a miss."""
    skill = a.skill[op]
    narrow = a.traits[op] & NARROW
    while last >= first:
        begin = a.run_begin[base + last]
        whole = narrow and begin >= first and a.run_end[base + last] == last + 1
        if whole and lane_sum(whole_run(a, s, skill, base, begin, last)) >= crew:
            last = begin - 1
            continue
        if narrow:
            miss = narrow_miss(a, s, skill, crew, base, max(first, begin), last)
        else:
            leads, low = a.leads[op], max(first, begin)
            miss = stretch_miss(a, s, skill, crew, leads, base, low, last)
        if miss >= 0:
            return miss
        last = begin - 1
    return -1


@inlined
def first_start(
    a: Arrays,
    s: State,
    op: int,
    crew: int,
    from_tick: int,
    finish_from: int,
    before: int,
) -> int:
    """Find the first open index at which an operation can run; -1 if there is none.

    Parameters
    ----------
    from_tick, finish_from : int
        Earliest start and earliest finish, in reference ticks.
    before : int
        A finish at or after this tick is of no interest.
    """
    track = a.track[op]
    base = a.track_at[track]
    opens = a.track_at[track + 1] - base
    length = operation_length(a, op, crew)
    if from_tick >= a.ticks or finish_from > a.ticks:
        return -1
    if before <= a.ticks:
        opens = a.open_index[track, a.position_at[before - 1]]
    x = a.open_index[track, a.position_at[from_tick]]
    if finish_from > 0:
        last = a.open_index[track, a.position_at[finish_from - 1]]
        x = max(x, last - length + 1)
    crewed, one_go = a.skill[op] >= 0, a.traits[op] & UNBROKEN
    checked = x  # from x to here, crews are known to be had for whole stretches
    while x + length <= opens:
        if one_go and x + length > a.run_end[base + x]:
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
        later = later_start(a, s, op, start, finish)
        if later < 0:
            return int(x)
        x = max(x + 1, a.open_index[track, a.position_at[min(later, a.ticks)]])
    return -1


@inlined
def operation_length(a: Arrays, op: int, crew: int) -> int:
    """Worked ticks of an operation with a crew."""
    counted = crew if a.skill[op] >= 0 else 0  # facts may name people for any work
    return int(a.length[a.length_of[op] + counted])


@inlined
def span_of(a: Arrays, op: int, index: int, length: int) -> tuple[int, int]:
    """Reference ticks [start, finish) of an operation that works from an open index."""
    base = a.track_at[a.track[op]]
    return (
        int(a.ref_of[a.open_position[base + index]]),
        int(a.ref_of[a.open_position[base + index + length - 1]]) + 1,
    )
