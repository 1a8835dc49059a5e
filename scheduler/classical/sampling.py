"""First schedules: drawn with a bias to activities that must finish first.

What may come next is drawn with a chance that grows with its regret, the distance of
its latest finish from the greatest one that stands for choice (regret-biased sampling,
as published for projects under resource limits). Lists are made whole and then placed;
or time moves on and what fits is started (parallel schedule generation), which is
better where resources are scarce. Either is one schedule.
"""

from __future__ import annotations

from scheduler.classical.network import (
    LISTED,
    Network,
    begin_list,
    place_all,
    put_in_list,
)
from scheduler.compiling.arrays import I64, U64
from scheduler.decoding.kernel import kernel
from scheduler.searching.chain import random_share

NEVER = 2**60
SHARP = 100.0  # by this the sharpness of a draw is divided


@kernel
def draw_list(network: Network, sharpness: int, seed: U64, order: I64) -> None:
    """Draw a list. `sharpness` is the exponent of the regret in hundredths."""
    begin_list(network)
    for k in range(len(order)):
        order[k] = _draw(network, sharpness, seed, NEVER, order)
        put_in_list(network, order[k])


@kernel
def draw_serially(
    network: Network, sharpness: int, seed: U64, order: I64, start: I64
) -> int:
    """Draw a list and place it; returns the makespan."""
    draw_list(network, sharpness, seed, order)
    return place_all(network, order, start)


@kernel
def draw_in_time(network: Network, sharpness: int, seed: U64, start: I64) -> int:
    """Start what fits, drawn by regret, as time moves on; returns the makespan."""
    begin_list(network)
    for resource in range(network.taken.shape[1]):
        network.taken[0, resource] = 0
    time, listed, makespan = 0, 0, 0
    while True:
        one = _draw(network, sharpness, seed, time, start)
        while one >= 0:
            start[one] = time
            put_in_list(network, one)
            listed += 1
            _use(network, one, 1)
            makespan = max(makespan, time + network.duration[one])
            one = _draw(network, sharpness, seed, time, start)
        if listed == len(start):
            return makespan
        time = _next_end(network, time, start)


@kernel
def _next_end(network: Network, time: int, start: I64) -> int:
    """The next instant at which an activity ends, with its resources given back."""
    soonest = NEVER
    for k in range(len(start)):
        end = start[k] + network.duration[k]
        if network.waiting[k] == LISTED and end > time:
            soonest = min(soonest, end)
    for k in range(len(start)):
        end = start[k] + network.duration[k]
        if network.waiting[k] == LISTED and end == soonest:
            _use(network, k, -1)
    return soonest


@kernel
def _use(network: Network, activity: int, sign: int) -> None:
    if network.duration[activity] > 0:
        for resource in range(network.taken.shape[1]):
            amount = network.demand[activity, resource]
            network.taken[0, resource] += sign * amount


@kernel
def _may_come(network: Network, activity: int, time: int, start: I64) -> bool:
    """Whether an activity may be next: in a list, or (time given) started now."""
    if network.waiting[activity] != 0:
        return False
    if time == NEVER:
        return True
    for p in range(network.before_at[activity], network.before_at[activity + 1]):
        one = network.before[p]
        if start[one] + network.duration[one] > time:
            return False
    for resource in range(network.taken.shape[1]):
        amount = network.taken[0, resource] + network.demand[activity, resource]
        if amount > network.capacity[resource]:
            return False
    return True


@kernel
def _draw(network: Network, sharpness: int, seed: U64, time: int, start: I64) -> int:
    """Draw what comes next; -1 where nothing may."""
    greatest = -NEVER
    for k in range(len(network.waiting)):
        if _may_come(network, k, time, start):
            greatest = max(greatest, network.urgency[k])
    total = 0.0
    for k in range(len(network.waiting)):
        if _may_come(network, k, time, start):
            total += (greatest - network.urgency[k] + 1.0) ** (sharpness / SHARP)
    left, drawn = random_share(seed) * total, -1
    for k in range(len(network.waiting)):
        if _may_come(network, k, time, start):
            drawn = k
            left -= (greatest - network.urgency[k] + 1.0) ** (sharpness / SHARP)
            if left < 0.0:
                break
    return drawn
