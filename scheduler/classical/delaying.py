"""A schedule in which the most urgent comes next, unless it would have to wait long.

A list puts an activity in its place however late that is, so that resources may rest
which others could have had. Starting all that fits lets no resource rest, but nothing
waits for what is more urgent. Between them lies a limit on how much later than the
soonest possible start the next activity may begin (parameterized active schedules, as
published for shops and projects). Each activity is placed once: one schedule.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from scheduler.classical.network import (
    Network,
    begin_list,
    first_fit,
    put_in_list,
)
from scheduler.classical.sampling import NEVER
from scheduler.compiling.arrays import I64
from scheduler.decoding.kernel import kernel

F64 = NDArray[np.float64]


@kernel
def place_soon(network: Network, key: F64, latest: int, start: I64) -> int:
    """Place all activities, the least key first; returns the makespan.

    Next is always, of those that may start within `latest` units of the soonest start
    of any that stands for choice, the one of least key. Without limit that is the list
    by keys; with 0 no resource rests while an activity could have it.
    """
    begin_list(network)
    for time in range(network.taken.shape[0]):
        for resource in range(network.taken.shape[1]):
            network.taken[time, resource] = 0
    ready = 0
    for k in range(len(start)):
        if network.waiting[k] == 0:
            ready = _make_ready(network, ready, k, start)
    makespan = 0
    while ready > 0:
        place = _next_place(network, ready, key, latest)
        activity = network.ready[place]
        ready -= 1
        network.ready[place] = network.ready[ready]
        begin = network.soonest[activity]
        end = begin + network.duration[activity]
        start[activity] = begin
        makespan = max(makespan, end)
        for time in range(begin, end):
            for resource in range(network.taken.shape[1]):
                network.taken[time, resource] += network.demand[activity, resource]
        _move_back(network, ready, begin, end)
        put_in_list(network, activity)
        for p in range(network.after_at[activity], network.after_at[activity + 1]):
            if network.waiting[network.after[p]] == 0:
                ready = _make_ready(network, ready, network.after[p], start)
    return makespan


@kernel
def _make_ready(network: Network, ready: int, activity: int, start: I64) -> int:
    """Put in what now stands for choice; returns how many do."""
    begin = 0
    for p in range(network.before_at[activity], network.before_at[activity + 1]):
        one = network.before[p]
        begin = max(begin, start[one] + network.duration[one])
    network.soonest[activity] = first_fit(network, activity, begin)
    network.ready[ready] = activity
    return ready + 1


@kernel
def _next_place(network: Network, ready: int, key: F64, latest: int) -> int:
    """Where among those that stand for choice the next one is."""
    soonest = NEVER
    for place in range(ready):
        soonest = min(soonest, network.soonest[network.ready[place]])
    first = -1
    for place in range(ready):
        activity = network.ready[place]
        if network.soonest[activity] - soonest <= latest and (
            first < 0 or key[activity] < key[network.ready[first]]
        ):
            first = place
    return first


@kernel
def _move_back(network: Network, ready: int, begin: int, end: int) -> None:
    """Look for later starts of those that would meet what was placed just now."""
    for place in range(ready):
        activity = network.ready[place]
        soonest = network.soonest[activity]
        if soonest < end and soonest + network.duration[activity] > begin:
            network.soonest[activity] = first_fit(network, activity, soonest)
