"""Minimum and maximum waits on the wall and the work clock: compiled arithmetic."""

from __future__ import annotations

from scheduler.compiling.arrays import AGAIN, FAR, FREE, PRECEDING, STARTED, Arrays
from scheduler.decoding.kernel import inlined, kernel
from scheduler.decoding.placing import Choices, State

PLACED, FAILED = -1, -2
"""Verdicts on an operation; any other value names the one to place again."""


@inlined
def wait_earliest(a: Arrays, wait: int, since: int) -> int:
    """First tick at which a wait that began at `since` has lasted its minimum."""
    cure = a.wait_cure[wait]
    if cure >= 0:
        return int(a.cure_end[cure, min(since, a.ticks)])
    track = a.wait_track[wait]
    least = a.wait_min[wait]
    if track < 0 or least == 0:
        return int(since + least)
    base = a.track_at[track]
    last = a.open_index[track, a.position_at[min(since, a.ticks)]] + least - 1
    if last >= a.track_at[track + 1] - base:
        return int(FAR)
    return int(a.ref_of[a.open_position[base + last]]) + 1


@inlined
def wait_latest(a: Arrays, wait: int, since: int) -> int:
    """Last tick at which a wait that began at `since` keeps its maximum."""
    most = a.wait_max[wait]
    if most < 0:
        return int(FAR)
    track = a.wait_track[wait]
    if track < 0:
        return int(since + most)
    base = a.track_at[track]
    last = a.open_index[track, a.position_at[min(since, a.ticks)]] + most
    if last >= a.track_at[track + 1] - base:
        return int(FAR)
    return int(a.ref_of[a.open_position[base + last]])


@kernel
def wait_begin_floor(a: Arrays, wait: int, until: int) -> int:
    """Earliest begin of a wait that lasts to `until` and keeps its maximum."""
    most = a.wait_max[wait]
    track = a.wait_track[wait]
    if track < 0:
        return int(until - most)
    base = a.track_at[track]
    first = a.open_index[track, a.position_at[min(until, a.ticks)]] - most - 1
    if first < 0:
        return 0
    return int(a.ref_of[a.open_position[base + first]]) + 1


@inlined
def lower_bounds(a: Arrays, s: State, c: Choices, op: int) -> tuple[int, int]:
    """Earliest start and earliest finish of an operation by what precedes it."""
    start, is_free = a.earliest[op], a.binding[op] == FREE
    if is_free:
        start = max(start, c.delay[op])
    finish = 0
    if a.traits[op] & AGAIN:
        start, finish = max(start, s.least_start[op]), s.least_finish[op]
    for k in range(a.wait_at[op], a.wait_at[op + 1]):
        least = a.plain_least[k]
        if least >= 0:
            if is_free:
                start = max(start, s.finish[a.plain_after[k]] + least)
            continue
        wait = a.wait_list[k]
        before = a.wait_before[wait]
        since = s.finish[before] if a.wait_before_end[wait] else s.start[before]
        tick = wait_earliest(a, wait, since)
        if a.wait_after_end[wait]:
            finish = max(finish, tick)
        elif is_free:
            start = max(start, tick)
    return int(start), int(finish)


@kernel
def check_maximums(a: Arrays, s: State, op: int) -> int:
    """Check maximum waits into this operation, and waits into what is already fixed."""
    verdict = check_waits_into(a, s, op)
    if verdict == PLACED and a.traits[op] & PRECEDING:
        verdict = check_waits_from(a, s, op)
    return verdict


@inlined
def check_waits_into(a: Arrays, s: State, op: int) -> int:
    """Check the maximum waits that end with an operation."""
    for k in range(a.wait_at[op], a.wait_at[op + 1]):
        wait = a.wait_list[k]
        if a.wait_max[wait] < 0 or (
            a.binding[op] == STARTED and not a.wait_after_end[wait]
        ):
            continue
        before = a.wait_before[wait]
        since = s.finish[before] if a.wait_before_end[wait] else s.start[before]
        until = s.finish[op] if a.wait_after_end[wait] else s.start[op]
        if until > wait_latest(a, wait, since):
            if a.binding[before] != FREE:
                return FAILED
            floor = wait_begin_floor(a, wait, until)
            if a.wait_before_end[wait]:
                s.least_finish[before] = max(s.least_finish[before], floor)
            else:
                s.least_start[before] = max(s.least_start[before], floor)
            return int(before)
    return PLACED


@kernel
def check_waits_from(a: Arrays, s: State, op: int) -> int:
    """Check the waits from an operation to what stands already."""
    for k in range(a.successor_at[op], a.successor_at[op + 1]):
        wait = a.successor_list[k]
        after = a.wait_after[wait]
        if not s.placed[after]:
            continue
        since = s.finish[op] if a.wait_before_end[wait] else s.start[op]
        until = s.finish[after] if a.wait_after_end[wait] else s.start[after]
        if wait_earliest(a, wait, since) > until:
            return FAILED
        if until > wait_latest(a, wait, since):
            if a.binding[op] != FREE:
                return FAILED
            floor = wait_begin_floor(a, wait, until)
            if a.wait_before_end[wait]:
                s.least_finish[op] = max(s.least_finish[op], floor)
            else:
                s.least_start[op] = max(s.least_start[op], floor)
            return op
    return PLACED
