"""Placing the services of molds that people do: compiled.

A mold's pulls between two services are a stretch. As soon as its last stretch is full,
the mold's next service is placed, as early behind it as people allow: so whatever boat
comes next finds a stretch with room. It is a boat of one operation to the decoder,
which takes the mold and its crew like any other.
"""

from __future__ import annotations

from scheduler.compiling.arrays import BEGINNING, FAR, PULL, Arrays
from scheduler.decoding.boat import place_boat
from scheduler.decoding.kernel import inlined, kernel
from scheduler.decoding.placing import Choices, State
from scheduler.decoding.servicing import counts_as, is_service


@kernel
def close_stretches(a: Arrays, s: State, c: Choices) -> None:
    """Place the service of each mold whose last stretch is full by what is given."""
    if len(a.service_list) == 0:
        return
    for slot in range(len(a.slot_every)):
        close_stretch(a, s, c, slot)


@kernel
def place_serviced(a: Arrays, s: State, c: Choices, boat: int) -> bool:
    """Place a boat, and behind its pulls the services that are due then."""
    if not place_boat(a, s, c, boat):
        return False
    if len(a.service_list) == 0:
        return True
    for op in range(a.boat_at[boat], a.boat_at[boat + 1]):
        if not a.traits[op] & BEGINNING:
            continue
        for k in range(a.begin_at[op], a.begin_at[op + 1]):
            hold = a.begin_list[k]
            if a.hold_pull[hold] == PULL and s.hold_slot[hold] >= 0:
                close_stretch(a, s, c, s.hold_slot[hold])
    return True


@kernel
def close_stretch(a: Arrays, s: State, c: Choices, slot: int) -> None:
    """Place the next service of a slot if its last stretch is full."""
    boat = next_service(a, s, slot)
    if boat < 0:
        return
    count, until, k = 0, 0, s.taken_count[slot] - 1
    while k >= 0 and not is_service(a, s.taken_by[slot, k]):
        if counts_as(a, s.taken_by[slot, k]):
            count += 1
            until = max(until, s.taken_to[slot, k])
        k -= 1
    if k < 0:
        count += a.slot_pulls[slot]
    else:
        until = max(until, s.taken_to[slot, k])
    if count < a.slot_every[slot] or until >= FAR:
        return
    op = a.boat_at[boat]
    asked = c.delay[op]
    c.delay[op] = max(asked, until)
    place_boat(a, s, c, boat)  # where people never suffice, the stretch stays open
    c.delay[op] = asked


@inlined
def next_service(a: Arrays, s: State, slot: int) -> int:
    """The first service of a slot that is not placed yet; -1 if there is none."""
    for k in range(a.service_at[slot], a.service_at[slot + 1]):
        boat = a.service_list[k]
        if not s.placed[a.boat_at[boat]]:
            return int(boat)
    return -1
