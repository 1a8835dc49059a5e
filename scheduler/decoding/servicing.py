"""Whether a mold is serviced in time: pulls counted from service to service (compiled).

A slot's list has its occupations and outages in order of time. A gap between two of
them that a service fits begins the count anew; where people do the service no gap
does, but the service itself, which is in the list (`scheduler.decoding.stretches`).
Pulls that facts have begun count, but are never refused; nor are repairs of the mold,
which do not count.
"""

from __future__ import annotations

from scheduler.compiling.arrays import FAR, FREE, PULL, SERVICED, Arrays
from scheduler.decoding.kernel import inlined, kernel
from scheduler.decoding.placing import State


@inlined
def serviced_by(a: Arrays, slot: int, since: int) -> int:
    """When a service that may begin from a tick on has ended; FAR if never."""
    return int(a.service_end[a.slot_service[slot], min(since, a.ticks)])


@inlined
def counts_as(a: Arrays, hold: int) -> int:
    """1 for an occupation that is a pull, 0 for an outage (-1) and all others."""
    return int(hold >= 0 and a.hold_pull[hold] == PULL)


@inlined
def is_service(a: Arrays, hold: int) -> bool:
    """Whether an entry of a slot is a service by people."""
    return bool(hold >= 0 and a.hold_pull[hold] == SERVICED)


@inlined
def gap_begin(s: State, slot: int, place: int) -> int:
    """When the gap before entry `place` of a slot begins."""
    return int(s.taken_to[slot, place - 1]) if place > 0 else 0


@kernel
def pulls_before(a: Arrays, s: State, slot: int, place: int, start: int) -> int:
    """Pulls since the last gap for a service before an entry that starts at a tick."""
    count = 0
    until = start
    for k in range(place, -1, -1):
        if serviced_by(a, slot, gap_begin(s, slot, k)) <= until:
            return count
        if k > 0:
            if is_service(a, s.taken_by[slot, k - 1]):
                return count
            count += counts_as(a, s.taken_by[slot, k - 1])
            until = s.taken_from[slot, k - 1]
    return int(count + a.slot_pulls[slot])


@kernel
def pulls_fit(
    a: Arrays, s: State, slot: int, place: int, finish: int, count: int
) -> bool:
    """Whether the pulls from entry `place` on are in order after so many before.

    `finish` is when the pull before it ends.
    """
    begin = finish
    for k in range(place, s.taken_count[slot]):
        if serviced_by(a, slot, begin) <= s.taken_from[slot, k]:
            return True
        hold = s.taken_by[slot, k]
        if is_service(a, hold):
            return True
        if counts_as(a, hold):
            count += 1
            free = a.binding[a.hold_from[hold]] == FREE
            if count > a.slot_every[slot] and free:
                return False
        begin = s.taken_to[slot, k]
    return True


@inlined
def is_serviced(
    a: Arrays, s: State, hold: int, slot: int, place: int, start: int
) -> bool:
    """Whether a hold can go before entry `place` of a slot, service included."""
    serviced = a.slot_every[slot] == 0 or is_in_order(a, s, hold, slot, place, start)
    return bool(serviced)


@kernel
def is_in_order(
    a: Arrays, s: State, hold: int, slot: int, place: int, start: int
) -> bool:
    """`is_serviced` for a slot whose pulls are counted."""
    if is_service(a, hold):
        return True
    own = counts_as(a, hold)
    count = pulls_before(a, s, slot, place, start) + own
    if own and count > a.slot_every[slot] and a.binding[a.hold_from[hold]] == FREE:
        return False
    return pulls_fit(a, s, slot, place, start + s.hold_need[hold], count)


@kernel
def service_gap(a: Arrays, s: State, hold: int, slot: int, start: int) -> int:
    """First tick after `start` at which a serviced slot can take a hold; FAR if none.

    In a gap that is either its beginning or the end of a service.
    """
    for place in range(s.taken_count[slot] + 1):
        begin = gap_begin(s, slot, place)
        end = int(FAR)
        if place < s.taken_count[slot]:
            end = int(s.taken_from[slot, place])
        if end <= start or begin >= FAR:
            continue
        for serviced in range(2):
            tick = serviced_by(a, slot, begin) if serviced else begin
            if tick <= start or tick + s.hold_need[hold] > end:
                continue
            if is_serviced(a, s, hold, slot, place, tick):
                return int(tick)
    return int(FAR)


@kernel
def service_limit(a: Arrays, s: State, slot: int, place: int, limit: int) -> int:
    """By when entry `place` of a slot must end: the next one, less a service due."""
    if a.slot_every[slot] == 0 or place + 1 >= s.taken_count[slot]:
        return limit
    start = s.taken_from[slot, place]
    own = counts_as(a, s.taken_by[slot, place])
    count = pulls_before(a, s, slot, place, start) + own
    if pulls_fit(a, s, slot, place + 1, int(FAR), count):
        return limit
    last = a.service_begin[a.slot_service[slot], min(limit, a.ticks)]
    return min(limit, int(last))
