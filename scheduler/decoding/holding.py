"""Which mold or place takes a part, and for how long: compiled slot bookkeeping.

A slot's occupations are kept in order of time. An occupation whose end is not yet
known reaches to the next one (or to FAR) and is trimmed when its end is placed.
"""

from __future__ import annotations

import numpy as np

from scheduler.compiling.arrays import FAR, Arrays
from scheduler.decoding.kernel import inlined, kernel
from scheduler.decoding.placing import State
from scheduler.decoding.servicing import is_serviced, service_gap, service_limit


@inlined
def gap_at(s: State, slot: int, tick: int) -> int:
    """Where in a slot's list an occupation from `tick` would go."""
    place = s.taken_count[slot]
    while place > 0 and s.taken_from[slot, place - 1] > tick:
        place -= 1
    return int(place)


@inlined
def gap_end(s: State, slot: int, place: int) -> int:
    """When the gap before entry `place` of a slot ends."""
    if place < s.taken_count[slot]:
        return int(s.taken_from[slot, place])
    return int(FAR)


@inlined
def note_last(s: State, slot: int) -> None:
    """Keep a slot's last occupation at hand: most questions are about what follows."""
    count = s.taken_count[slot]
    s.last_from[slot] = s.taken_from[slot, count - 1] if count > 0 else -1
    s.last_to[slot] = s.taken_to[slot, count - 1] if count > 0 else 0


@kernel
def insert(s: State, slot: int, hold: int, start: int, finish: int) -> None:
    """Add an occupation to a slot."""
    place = gap_at(s, slot, start)
    for k in range(s.taken_count[slot], place, -1):
        s.taken_from[slot, k] = s.taken_from[slot, k - 1]
        s.taken_to[slot, k] = s.taken_to[slot, k - 1]
        s.taken_by[slot, k] = s.taken_by[slot, k - 1]
    s.taken_from[slot, place] = start
    s.taken_to[slot, place] = finish
    s.taken_by[slot, place] = hold
    s.taken_count[slot] += 1
    note_last(s, slot)


@inlined
def entry_of(s: State, slot: int, hold: int) -> int:
    """Where a hold stands in its slot's list."""
    place = 0
    while s.taken_by[slot, place] != hold:
        place += 1
    return place


@kernel
def remove(s: State, slot: int, hold: int) -> None:
    """Take an occupation out of a slot."""
    place = entry_of(s, slot, hold)
    s.taken_count[slot] -= 1
    for k in range(place, s.taken_count[slot]):
        s.taken_from[slot, k] = s.taken_from[slot, k + 1]
        s.taken_to[slot, k] = s.taken_to[slot, k + 1]
        s.taken_by[slot, k] = s.taken_by[slot, k + 1]
    note_last(s, slot)


@kernel
def best_slot(a: Arrays, s: State, hold: int, start: int) -> int:
    """The slot that can take a hold from `start` with the least idle time before it.

    Returns -1 if none is free for as long as the hold is known to need.
    """
    if a.candidate_row[hold]:
        return best_of_row(a, s, hold, start)
    chosen, least_idle = -1, int(FAR) * 2
    for k in range(a.candidate_at[hold], a.candidate_at[hold + 1]):
        slot = a.candidate_slot[k]
        if s.last_from[slot] <= start and a.slot_every[slot] == 0:
            if 0 <= start - s.last_to[slot] < least_idle:
                chosen, least_idle = slot, start - s.last_to[slot]
            continue
        place = gap_at(s, slot, start)
        begin = s.taken_to[slot, place - 1] if place > 0 else 0
        if begin > start or gap_end(s, slot, place) < start + s.hold_need[hold]:
            continue
        if start - begin < least_idle and is_serviced(a, s, hold, slot, place, start):
            chosen, least_idle = slot, start - begin
    return chosen


@kernel
def best_of_row(a: Arrays, s: State, hold: int, start: int) -> int:
    """`best_slot` among neighbors, without a branch where all are free after a tick.

    Large yards have a hundred places of a kind; those in which something begins later,
    but not too soon for any gap before it, are looked at one by one.
    """
    first = a.candidate_slot[a.candidate_at[hold]]
    end = first + a.candidate_at[hold + 1] - a.candidate_at[hold]
    until = start + s.hold_need[hold]
    least_idle, some_gap = FAR, np.int32(0)
    for slot in range(first, end):
        idle = np.int32(start - s.last_to[slot])
        later = s.last_from[slot] > start
        least_idle = min(least_idle, FAR if later or idle < 0 else idle)
        some_gap |= np.int32(later and s.last_from[slot] >= until)
    chosen = -1
    if least_idle < FAR:
        chosen = first
        while s.last_from[chosen] > start or start - s.last_to[chosen] != least_idle:
            chosen += 1
    if some_gap:
        for slot in range(first, end):
            if s.last_from[slot] <= start or s.last_from[slot] < until:
                continue
            place = gap_at(s, slot, start)
            begin = s.taken_to[slot, place - 1] if place > 0 else 0
            if begin > start or gap_end(s, slot, place) < until:
                continue
            idle = np.int32(start - begin)
            if idle < least_idle or (idle == least_idle and slot < chosen):
                chosen, least_idle = slot, idle
    return int(chosen)


@kernel
def roomiest_slot(a: Arrays, s: State, hold: int, start: int) -> int:
    """The slot in which a hold from `start` has the longest time; -1 if there is none.

    Of equals the one with the least idle time before it.
    """
    chosen, longest, least_idle = -1, 0, int(FAR) * 2
    for k in range(a.candidate_at[hold], a.candidate_at[hold + 1]):
        slot = a.candidate_slot[k]
        place = gap_at(s, slot, start)
        begin = s.taken_to[slot, place - 1] if place > 0 else 0
        room = gap_end(s, slot, place) - start
        if begin > start or room < max(s.hold_need[hold], longest):
            continue
        if room > longest or start - begin < least_idle:
            chosen, longest, least_idle = slot, room, start - begin
    return chosen


@kernel
def next_gap(a: Arrays, s: State, hold: int, start: int) -> int:
    """The first tick after `start` at which some slot could take a hold; -1 if none."""
    soonest = int(FAR)
    for k in range(a.candidate_at[hold], a.candidate_at[hold + 1]):
        slot = a.candidate_slot[k]
        if a.slot_every[slot] > 0:
            soonest = min(soonest, service_gap(a, s, hold, slot, start))
            continue
        if s.last_from[slot] <= start:
            if start < s.last_to[slot] < soonest:
                soonest = s.last_to[slot]
            continue
        for place in range(max(0, gap_at(s, slot, start) - 1), s.taken_count[slot]):
            begin = s.taken_to[slot, place]
            if begin >= soonest:
                break
            enough = gap_end(s, slot, place + 1) >= begin + s.hold_need[hold]
            if begin > start and enough:
                soonest = begin
                break
    return -1 if soonest >= FAR else soonest


@kernel
def begin_hold(s: State, hold: int, slot: int, start: int) -> None:
    """Let a hold begin; until its end is known it fills the gap."""
    place = gap_at(s, slot, start)
    insert(s, slot, hold, start, gap_end(s, slot, place))
    s.hold_slot[hold] = slot
    s.hold_start[hold] = start


@inlined
def next_hold(s: State, hold: int) -> int:
    """When the occupation after a begun hold begins."""
    slot = s.hold_slot[hold]
    return gap_end(s, slot, entry_of(s, slot, hold) + 1)


@inlined
def hold_limit(a: Arrays, s: State, hold: int) -> int:
    """By when a begun hold must end because another one follows, or a service."""
    slot = s.hold_slot[hold]
    place = entry_of(s, slot, hold)
    return service_limit(a, s, slot, place, gap_end(s, slot, place + 1))


@inlined
def end_hold(s: State, hold: int, finish: int) -> None:
    """Fix the end of a begun hold."""
    slot = s.hold_slot[hold]
    s.taken_to[slot, entry_of(s, slot, hold)] = finish
    note_last(s, slot)


@kernel
def reopen_hold(s: State, hold: int) -> None:
    """Let a hold fill its gap again, its end being undecided."""
    end_hold(s, hold, next_hold(s, hold))
