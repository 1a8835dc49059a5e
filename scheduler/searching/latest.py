"""Latest starts of a boat's operations that leave its finish where it is (compiled).

A backward pass over the waits alone; people, molds and places are left to the decoder,
which is given these starts as delays. It serves plans that begin work no sooner than
needed and so keep less work in process.
"""

from __future__ import annotations

from scheduler.compiling.arrays import FREE, I32, Arrays
from scheduler.decoding.decoder import boat_finish
from scheduler.decoding.kernel import kernel
from scheduler.decoding.placing import State


@kernel
def latest_starts(a: Arrays, s: State, boat: int, latest: I32) -> None:
    """Fill in the latest start of each operation of a boat."""
    limit = boat_finish(a, s, boat)
    for op in range(a.boat_at[boat + 1] - 1, a.boat_at[boat] - 1, -1):
        if a.binding[op] != FREE:
            latest[op] = s.start[op]
            continue
        finish_by, start_by = limit, limit
        for k in range(a.successor_at[op], a.successor_at[op + 1]):
            wait = a.successor_list[k]
            after = a.wait_after[wait]
            until = latest[after]
            if a.wait_after_end[wait]:
                until = s.finish[after]
            by = begin_by(a, wait, until)
            if a.wait_before_end[wait]:
                finish_by = min(finish_by, by)
            else:
                start_by = min(start_by, by)
        latest[op] = max(s.start[op], latest_start(a, s, op, start_by, finish_by))


@kernel
def begin_by(a: Arrays, wait: int, until: int) -> int:
    """Last tick at which a wait can begin and still have its minimum by `until`."""
    cure = a.wait_cure[wait]
    if cure >= 0:
        return int(a.cure_begin[cure, max(0, min(until, a.ticks))])
    track = a.wait_track[wait]
    least = a.wait_min[wait]
    if track < 0 or least == 0:
        return int(until - least)
    base = a.track_at[track]
    index = a.open_index[track, a.position_at[min(until, a.ticks)]] - least
    if index < 0:
        return 0
    return int(a.ref_of[a.open_position[base + index]])


@kernel
def latest_start(a: Arrays, s: State, op: int, start_by: int, finish_by: int) -> int:
    """Last tick at which an operation can start to keep both limits."""
    length = s.length[op]
    if length == 0:
        return int(min(start_by, finish_by))
    track = a.track[op]
    base = a.track_at[track]
    last = a.open_index[track, a.position_at[max(0, min(finish_by, a.ticks))]] - 1
    x = last - length + 1
    first = a.open_index[track, a.position_at[max(0, min(start_by + 1, a.ticks))]] - 1
    x = min(x, first)
    while x > 0 and a.one_go[op] and x + length > a.run_end[base + x]:
        x -= 1
    if x < 0:
        return 0
    return int(a.ref_of[a.open_position[base + x]])
