"""Taking people and room for a placed operation, and giving them back: compiled.

A crew that stays through a whole segment is written down once, with the segment
(`gone`); only at its ragged ends is every tick counted.
"""

from __future__ import annotations

import numpy as np

from scheduler.compiling.arrays import NARROW, ROOMY, Arrays
from scheduler.decoding.kernel import inlined, kernel
from scheduler.decoding.lanes import ALL, GUARD, fewer, first_of, lane_sum
from scheduler.decoding.leads import choose_led_crew
from scheduler.decoding.placing import (
    State,
    span_of,
    stretch_miss,
    whole_run,
)


@kernel
def man(a: Arrays, s: State, op: int) -> None:
    """Choose a crew for every stretch of an operation, and take it."""
    skill = a.skill[op]
    if skill >= 0:
        base = a.track_at[a.track[op]]
        first, end = s.begin[op], s.begin[op] + s.length[op]
        row = a.share_at[op]
        narrow = a.traits[op] & NARROW
        while first < end:
            last = min(a.run_end[base + first], end) - 1
            if narrow:
                man_stretch(a, s, skill, s.crew[op], base, first, last, row)
            else:
                choose_crew(a, s, op, base, first, last, row)
                take_stretch(a, s, skill, row, 1, base, first, last)
            first = last + 1
            row += 1
    take_room(a, s, op, 1)


@kernel
def take(a: Arrays, s: State, op: int, sign: int) -> None:
    """Take (sign 1) or give back (sign -1) the crews chosen for an operation.

    And its room at stations.
    """
    skill = a.skill[op]
    if skill >= 0:
        base = a.track_at[a.track[op]]
        first, end = s.begin[op], s.begin[op] + s.length[op]
        row = a.share_at[op]
        while first < end:
            last = min(a.run_end[base + first], end) - 1
            take_stretch(a, s, skill, row, sign, base, first, last)
            first = last + 1
            row += 1
    take_room(a, s, op, sign)


@inlined
def man_stretch(
    a: Arrays,
    s: State,
    skill: int,
    crew: int,
    base: int,
    first: int,
    last: int,
    row: int,
) -> None:
    """Choose and take the crew of a stretch, for a skill whose kinds share one word."""
    word = a.word_from[skill]
    if is_whole_run(a, base, first, last):
        share = first_of(whole_run(a, s, skill, base, first, last), crew)
        take_run(a, s, word, share, base, first, last)
    else:
        low = a.open_position[base + first]
        high = low + last - first + 1
        share = first_of(there_through(a, s, skill, low, high), crew)
        take_ticks(a, s, word, share, low, high)
    s.share[word, row] = share


@inlined
def there_through(a: Arrays, s: State, skill: int, low: int, high: int) -> np.uint64:
    """Who is there through positions low..high-1, for a skill of one word."""
    word = a.word_from[skill]
    stay = a.able[skill, word] & (ALL ^ GUARD)
    segment = a.segment_of[low]
    while segment < len(a.segment_at) - 1 and a.segment_at[segment] < high:
        begin, end = a.segment_at[segment], a.segment_at[segment + 1]
        if low <= begin and end <= high:
            stay = fewer(stay, s.least[word, segment])
        else:
            fewest = fewest_left(s, word, segment, max(low, begin), min(high, end))
            stay = fewer(stay, fewest)
        segment += 1
    return np.uint64(stay)


@inlined
def is_whole_run(a: Arrays, base: int, first: int, last: int) -> bool:
    """Whether a stretch is all the open time between two closings."""
    whole = a.run_begin[base + first] == first and a.run_end[base + first] == last + 1
    return bool(whole)


@inlined
def take_stretch(
    a: Arrays,
    s: State,
    skill: int,
    row: int,
    sign: int,
    base: int,
    first: int,
    last: int,
) -> None:
    """Take the crew of one stretch, or give it back."""
    for word in range(a.word_from[skill], a.word_to[skill]):
        share = s.share[word, row]
        if share == 0:
            continue
        if sign < 0:
            share = -share
        if is_whole_run(a, base, first, last):
            take_run(a, s, word, share, base, first, last)
        else:
            low = a.open_position[base + first]
            take_ticks(a, s, word, share, low, low + last - first + 1)


@inlined
def take_run(
    a: Arrays, s: State, word: int, share: np.uint64, base: int, first: int, last: int
) -> None:
    """Take a crew through a whole run: no run of any track ends inside a segment.

    To give back is to take the negative: the counters of a word are added at once.
    """
    final = a.segment_in[base + last]  # often the only one
    take_segment(s, word, share, final)
    for segment in range(a.segment_in[base + first], final):
        take_segment(s, word, share, segment)


@inlined
def take_segment(s: State, word: int, share: np.uint64, segment: int) -> None:
    """Take a crew over a whole segment."""
    s.least[word, segment] -= share
    s.gone[word, segment] += share


@inlined
def take_ticks(
    a: Arrays, s: State, word: int, share: np.uint64, low: int, high: int
) -> None:
    """Take a crew from positions low..high-1 and keep the fewest of each segment."""
    segment = a.segment_of[low]
    while segment < len(a.segment_at) - 1 and a.segment_at[segment] < high:
        begin, end = a.segment_at[segment], a.segment_at[segment + 1]
        if low <= begin and end <= high:
            take_segment(s, word, share, segment)
        else:
            for position in range(max(low, begin), min(high, end)):
                s.free[word, position] -= share
            count_least(a, s, word, segment)
        segment += 1


@inlined
def count_least(a: Arrays, s: State, word: int, segment: int) -> None:
    """Count the fewest people of each kind over a segment."""
    begin, end = a.segment_at[segment], a.segment_at[segment + 1]
    s.least[word, segment] = fewest_left(s, word, segment, begin, end)


@inlined
def fewest_left(s: State, word: int, segment: int, low: int, high: int) -> np.uint64:
    """The fewest people left of each kind over positions low..high-1 of a segment."""
    fewest = ALL ^ GUARD
    for position in range(low, high):
        fewest = fewer(fewest, s.free[word, position])
    return np.uint64(fewest - s.gone[word, segment])


@inlined
def take_room(a: Arrays, s: State, op: int, sign: int) -> None:
    """Take an operation's room at stations, or give it back."""
    if not a.traits[op] & ROOMY or s.length[op] == 0:
        return
    start, finish = span_of(a, op, s.begin[op], s.length[op])
    low, high = a.position_at[start], a.position_at[finish]
    for k in range(a.demand_at[op], a.demand_at[op + 1]):
        station, amount = a.demand_station[k], sign * a.demand_amount[k]
        for position in range(low, high):
            s.used[station, position] += amount


@inlined
def choose_crew(
    a: Arrays, s: State, op: int, base: int, first: int, last: int, row: int
) -> None:
    """Write the crew of one stretch, by kind: lanes in order, fewest skills first."""
    wanted, skill, leads = s.crew[op], a.skill[op], a.leads[op]
    stretch_miss(a, s, skill, wanted, leads, base, first, last)
    if leads:
        choose_led_crew(a, s, skill, wanted, leads, row)
        return
    for word in range(a.word_from[skill], a.word_to[skill]):
        share = first_of(s.need[word], wanted)
        s.share[word, row] = share
        wanted -= lane_sum(share)
