"""What is given: done, begun, frozen and locked work, put into a state first."""

from __future__ import annotations

import numpy as np

from scheduler.compiling.arrays import (
    DONE,
    FAR,
    LANE_BITS,
    LANES,
    PINNED,
    STARTED,
    Arrays,
)
from scheduler.decoding.holding import (
    begin_hold,
    best_slot,
    end_hold,
    insert,
    roomiest_slot,
)
from scheduler.decoding.kernel import copy_table, kernel
from scheduler.decoding.lanes import LANE
from scheduler.decoding.manning import count_least, man, take
from scheduler.decoding.placing import (
    State,
    crew_miss,
    operation_length,
    span_of,
)


@kernel
def set_facts(a: Arrays, s: State) -> bool:
    """Fill a state with everything that is committed; False if facts clash."""
    copy_table(a.kinds_free, s.free, 0)
    copy_table(a.kinds_least, s.least, 0)
    s.gone[:] = 0
    s.used[:] = 0
    s.taken_count[:] = 0
    s.last_from[:] = -1
    s.last_to[:] = 0
    s.placed[:] = 0
    s.hold_slot[:] = -1
    for slot in range(len(a.slot_resource)):
        for k in range(a.outage_at[slot], a.outage_at[slot + 1]):
            insert(s, slot, -1, a.outage_from[k], a.outage_to[k])
    sound = True
    for op in range(len(a.boat_of)):
        kind = a.binding[op]
        s.length[op] = 0
        s.crew[op] = 0
        if kind == DONE:
            s.placed[op] = 1
            s.start[op], s.finish[op] = a.fixed_start[op], a.fixed_finish[op]
        elif kind == PINNED or (kind == STARTED and a.fixed_finish[op] >= 0):
            sound &= place_given(a, s, op)
        elif kind == STARTED:
            s.start[op] = a.fixed_start[op]
    return sound and place_given_holds(a, s)


@kernel
def place_given_holds(a: Arrays, s: State) -> bool:
    """Let every given hold begin: those whose end is given too, then the open ones.

    The former go by their starts, which leaves units of a place empty as long as can
    be. An open one reaches to the next in its slot, so it goes where it finds the most
    room, the latest first.
    """
    sound = True
    since = next_given(a, s, 0, -1, 1)
    while since < FAR:
        sound &= begin_given(a, s, 0, since)
        since = next_given(a, s, 0, since, 1)
    since = next_given(a, s, 1, int(FAR), -1)
    while since >= 0:
        sound &= begin_given(a, s, 1, since)
        since = next_given(a, s, 1, since, -1)
    return sound


@kernel
def next_given(a: Arrays, s: State, is_open: int, since: int, step: int) -> int:
    """The next start of a given hold after (step 1) or before (-1) a tick.

    FAR, or -1 going back, where there is none.
    """
    found = int(FAR) if step > 0 else -1
    for hold in range(len(a.hold_from)):
        begin = int(s.start[a.hold_from[hold]])
        if not is_given(a, s, hold) or s.placed[a.hold_to[hold]] == is_open:
            continue
        if since < begin < found if step > 0 else found < begin < since:
            found = begin
    return found


@kernel
def begin_given(a: Arrays, s: State, is_open: int, since: int) -> bool:
    """Let the given holds that start at a tick begin."""
    sound = True
    for hold in range(len(a.hold_from)):
        if (
            is_given(a, s, hold)
            and s.placed[a.hold_to[hold]] != is_open
            and s.start[a.hold_from[hold]] == since
        ):
            sound &= place_given_hold(a, s, hold)
    return sound


@kernel
def is_given(a: Arrays, s: State, hold: int) -> bool:
    """Whether facts have begun a hold that still matters."""
    begin = a.hold_from[hold]
    begun = s.placed[begin] or a.binding[begin] == STARTED
    return bool(a.hold_active[hold] and begun)


@kernel
def place_given(a: Arrays, s: State, op: int) -> bool:
    """Place a pinned operation, or a started one whose finish is given."""
    s.crew[op] = a.fixed_crew[op]
    length = operation_length(a, op, s.crew[op])
    track = a.track[op]
    base = a.track_at[track]
    s.placed[op] = 1
    s.start[op] = a.fixed_start[op]
    if length == 0:
        s.finish[op] = s.start[op]
        return True
    if a.binding[op] == STARTED:
        x = a.open_index[track, a.position_at[a.fixed_finish[op] - 1]] - length + 1
    else:
        x = a.open_index[track, a.position_at[a.fixed_start[op]]]
    if x < 0 or x + length > a.track_at[track + 1] - base:
        return False
    s.begin[op], s.length[op] = x, length
    start, s.finish[op] = span_of(a, op, x, length)
    if a.binding[op] != STARTED and start != a.fixed_start[op]:
        return False
    if a.one_go[op] and x + length > a.run_end[base + x]:
        return False
    take_facts(a, s, op)
    return True


@kernel
def place_given_hold(a: Arrays, s: State, hold: int) -> bool:
    """Let a hold begin that facts have begun, and end it if its end is given too."""
    end = a.hold_to[hold]
    s.hold_need[hold] = 1
    start = s.start[a.hold_from[hold]]
    if s.placed[end]:
        finish = s.finish[end] if a.hold_to_end[hold] else s.start[end]
        s.hold_need[hold] = max(1, finish - start)
        slot = best_slot(a, s, hold, start)
    else:
        slot = roomiest_slot(a, s, hold, start)
    if slot < 0:
        return False
    begin_hold(s, hold, slot, start)
    if s.placed[end]:
        end_hold(s, hold, finish)
    return True


@kernel
def take_facts(a: Arrays, s: State, op: int) -> None:
    """Take a committed operation's people: those it names, else whoever is there.

    Facts may ask for more people than there are; the counters stop at zero, so that
    no lane borrows from its neighbor, and the checker names the clash.
    """
    length = s.length[op]
    if length == 0:
        return
    if a.skill[op] < 0:
        take(a, s, op, 1)
        return
    base = a.track_at[a.track[op]]
    last = s.begin[op] + length - 1
    if a.given_at[op + 1] == a.given_at[op] and (
        crew_miss(a, s, op, s.crew[op], base, s.begin[op], last) < 0
    ):
        man(a, s, op)
        return
    for k in range(a.given_at[op], a.given_at[op + 1]):
        word, lane = a.given_kind[k] // LANES, a.given_kind[k] % LANES
        shift = np.uint64(LANE_BITS * lane)
        for index in range(s.begin[op], s.begin[op] + length):
            position = a.open_position[base + index]
            tick = a.ref_of[position]
            left = s.free[word, position] - s.gone[word, a.segment_of[position]]
            have = (left >> shift) & LANE
            if a.given_from[k] <= tick < a.given_to[k] and have > 0:
                s.free[word, position] -= np.uint64(1) << shift
                count_least(a, s, word, a.segment_of[position])
    start, finish = span_of(a, op, s.begin[op], length)
    for k in range(a.demand_at[op], a.demand_at[op + 1]):
        for position in range(a.position_at[start], a.position_at[finish]):
            s.used[a.demand_station[k], position] += a.demand_amount[k]
