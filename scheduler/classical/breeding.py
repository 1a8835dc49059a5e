"""Two populations of schedules, forward and backward in time, that breed each other.

Two schedules of one direction are crossed into a list for the other one: a stretch of
the one in which it uses resources best stays together, what lies before and after
stands in the sequence of the other. Each child costs one schedule, and turning the
direction closes the gaps that its parents had (double justification). Both are
published for projects under resource limits. Half of the children are placed with a
limited delay (`delaying`), which packs scarce resources closer. In large instances many
schedules have the same makespan; of those the one that starts its activities sooner in
all counts as better.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from scheduler.classical.delaying import F64, place_soon
from scheduler.classical.network import (
    Network,
    begin_list,
    place_all,
    put_in_list,
)
from scheduler.classical.sampling import NEVER, draw_in_time, draw_serially
from scheduler.compiling.arrays import I64, U64, TableI64
from scheduler.decoding.bundle import Bundle
from scheduler.decoding.kernel import copy_row, kernel
from scheduler.searching.chain import random_below, random_seed, random_share

STRETCHES = 5  # drawn, of which the one with the most work is kept
SHORTEST = 0.2  # stretch, as a share of the makespan
RIVALS = 3  # that contend to be the second parent
NUDGED = 5  # per cent of a child's activities
SOON = 50  # per cent of the children that are placed with a limited delay


@dataclass(frozen=True, eq=False)
class Breed(Bundle):
    """What a search owns. Direction 0 is forward in time, 1 backward.

    `sharpness` (of first draws, in hundredths), `longest` (stretch, per cent of the
    makespan), `nudge` (how far `NUDGED` per cent of a child's activities move within
    the list, time units), `in_time` (per cent of the first schedules) and `children` of
    a pair depend on the size of the instance. So does `weighs_starts`: whether the sum
    of starts tells schedules of one makespan apart (it did harm on the set of 30
    activities). `latest` is the greatest limit of delay, drawn anew for each child.
    """

    start: TableI64  # [row, activity]; see `row_of`
    makespan: TableI64  # [direction, member]
    starts: TableI64  # [direction, member]: sum of starts, see `weighs_starts`
    seed: U64
    best: I64  # [1] makespan
    best_start: I64  # starts forward in time
    bound: int
    sharpness: int
    longest: int
    nudge: int
    latest: int
    in_time: int
    children: int
    weighs_starts: int  # 0 or 1
    trial: I64  # scratch: starts
    child: I64  # scratch: starts
    order: I64  # scratch
    key: F64  # scratch
    work: F64  # scratch: done until each time


def new_breed(network: Network, members: int, bound: int, seed: int) -> Breed:
    """A search with empty populations, set for the size of a network.

    The settings were chosen on the published sets of 30 and of 120 activities, most of
    them on the odd-numbered instances, and tried on other seeds.
    """
    count = len(network.duration)
    is_small = count < 60
    return Breed(
        start=np.zeros((2 * members, count), np.int64),
        makespan=np.full((2, members), NEVER, np.int64),
        starts=np.zeros((2, members), np.int64),
        seed=random_seed(seed),
        best=np.array([NEVER], np.int64),
        best_start=np.zeros(count, np.int64),
        bound=bound,
        sharpness=25 if is_small else min(300, 100 * count // 40),
        longest=min(60, 35 + 100 * count // 480),
        latest=int(network.duration.max(initial=0)),
        nudge=min(8, 240 // count) if is_small else 1,
        in_time=min(50, 100 * count // 240),
        children=3 if is_small else 2,
        weighs_starts=0 if is_small else 1,
        trial=np.zeros(count, np.int64),
        child=np.zeros(count, np.int64),
        order=np.zeros(count, np.int64),
        key=np.zeros(count, np.float64),
        work=np.zeros(len(network.taken) + 1, np.float64),
    )


@kernel
def row_of(breed: Breed, direction: int, member: int) -> int:
    """The row of a member: forward ones first, then backward ones."""
    members: int = breed.makespan.shape[1]
    return direction * members + member


@kernel
def draw_first(network: Network, breed: Breed, draws: int) -> int:
    """Fill the forward population with the best of some draws; returns how many."""
    members = breed.makespan.shape[1]
    for direction in range(2):
        for member in range(members):
            breed.makespan[direction, member] = NEVER
    for draw in range(draws):
        if breed.best[0] <= breed.bound:
            return draw
        if random_below(breed.seed, 100) < breed.in_time:
            makespan = draw_in_time(network, breed.sharpness, breed.seed, breed.trial)
        else:
            makespan = draw_serially(
                network, breed.sharpness, breed.seed, breed.order, breed.trial
            )
        _note(network, breed, 0, makespan)
        worst = 0
        for member in range(members):
            if breed.makespan[0, member] > breed.makespan[0, worst]:
                worst = member
        if makespan < breed.makespan[0, worst]:
            breed.makespan[0, worst] = makespan
            breed.starts[0, worst] = _sum_of_starts(breed)
            copy_row(breed.trial, breed.start[row_of(breed, 0, worst)])
    return draws


@kernel
def breed_once(
    forward: Network, backward: Network, breed: Breed, direction: int, most: int
) -> int:
    """Breed the population of one direction into the other's; returns the schedules."""
    target = backward if direction == 0 else forward
    other = 1 - direction
    least = least_of(breed)
    done = 0
    for member in range(breed.makespan.shape[1]):
        if breed.makespan[direction, member] == NEVER:
            continue
        makespan = starts = NEVER
        for number in range(breed.children):
            if done >= most or breed.best[0] <= breed.bound:
                break
            mate = _second_parent(breed, direction, member)
            one, two = (mate, member) if number == 1 else (member, mate)
            _cross(target, breed, direction, one, two)
            found = _place(target, breed)
            done += 1
            _note(target, breed, other, found)
            sum_of_starts = _sum_of_starts(breed)
            if _is_better(found, sum_of_starts, makespan, starts):
                makespan, starts = found, sum_of_starts
                copy_row(breed.trial, breed.child)
        least = min(least, makespan)
        old = breed.makespan[other, member]
        if makespan == NEVER or (makespan > old and old <= least):
            continue
        if not _is_there(breed, other, makespan):
            breed.makespan[other, member] = makespan
            breed.starts[other, member] = starts
            copy_row(breed.child, breed.start[row_of(breed, other, member)])
    return done


@kernel
def _is_better(makespan: int, starts: int, than: int, than_starts: int) -> bool:
    return makespan < than or (makespan == than and starts < than_starts)


@kernel
def _sum_of_starts(breed: Breed) -> int:
    """The sum of the trial's starts; 0 where it is not to count."""
    total = 0
    if breed.weighs_starts:
        for k in range(len(breed.trial)):
            total += breed.trial[k]
    return total


@kernel
def least_of(breed: Breed) -> int:
    """The least makespan in either population."""
    least = NEVER
    for direction in range(2):
        for member in range(breed.makespan.shape[1]):
            least = min(least, breed.makespan[direction, member])
    return least


@kernel
def _note(network: Network, breed: Breed, direction: int, makespan: int) -> None:
    """Keep a schedule that is better than any before it."""
    if makespan >= breed.best[0]:
        return
    breed.best[0] = makespan
    for k in range(len(breed.trial)):
        start = breed.trial[k]
        if direction == 1:
            start = makespan - start - network.duration[k]
        breed.best_start[k] = start


@kernel
def _second_parent(breed: Breed, direction: int, first: int) -> int:
    """The best of some members drawn at random; the first where none is filled yet."""
    members = breed.makespan.shape[1]
    best = random_below(breed.seed, members)
    for _ in range(RIVALS - 1):
        rival = random_below(breed.seed, members)
        if _is_better(
            breed.makespan[direction, rival],
            breed.starts[direction, rival],
            breed.makespan[direction, best],
            breed.starts[direction, best],
        ):
            best = rival
    return first if breed.makespan[direction, best] == NEVER else best


@kernel
def _is_there(breed: Breed, direction: int, makespan: int) -> bool:
    """Whether the child is a member already."""
    for member in range(breed.makespan.shape[1]):
        if breed.makespan[direction, member] == makespan:
            same = True
            for k in range(len(breed.child)):
                if breed.start[row_of(breed, direction, member), k] != breed.child[k]:
                    same = False
                    break
            if same:
                return True
    return False


@kernel
def _place(target: Network, breed: Breed) -> int:
    """Turn a child's keys into a schedule; returns its makespan."""
    if random_below(breed.seed, 100) < SOON:
        latest = random_below(breed.seed, breed.latest + 1)
        return place_soon(target, breed.key, latest, breed.trial)
    begin_list(target)
    for place in range(len(breed.order)):
        first = -1
        for k in range(len(breed.key)):
            if target.waiting[k] == 0 and (
                first < 0 or breed.key[k] < breed.key[first]
            ):
                first = k
        breed.order[place] = first
        put_in_list(target, first)
    return place_all(target, breed.order, breed.trial)


@kernel
def _cross(target: Network, breed: Breed, direction: int, one: int, two: int) -> None:
    """Write a child as keys for the other direction: what ends last comes first.

    A nudge reaches across the edges of the stretch only where the list may anyway.
    """
    span = breed.makespan[direction, one]
    begin, end = _busy_stretch(target, breed, direction, one)
    row, mate = row_of(breed, direction, one), row_of(breed, direction, two)
    apart = float(span + breed.makespan[direction, two])
    for k in range(len(breed.key)):
        start = breed.start[row, k]
        key = float(breed.start[mate, k])
        if start < begin:
            key -= apart
        elif start < end:
            key = float(start)
        else:
            key += apart
        key += target.duration[k] - 0.01 * random_share(breed.seed)
        if random_below(breed.seed, 100) < NUDGED:
            key += (random_share(breed.seed) - 0.5) * breed.nudge
        breed.key[k] = -key


@kernel
def _busy_stretch(
    network: Network, breed: Breed, direction: int, one: int
) -> tuple[int, int]:
    """Of some stretches of one length the one with the most work over capacity."""
    span = breed.makespan[direction, one]
    longest = breed.longest / 100.0
    share = SHORTEST + random_share(breed.seed) * (longest - SHORTEST)
    length = max(1, int(span * share))
    for time in range(span + 1):
        breed.work[time] = 0.0
    for k in range(len(breed.key)):
        load = 0.0
        for resource in range(len(network.capacity)):
            if network.demand[k, resource] > 0:
                load += network.demand[k, resource] / network.capacity[resource]
        begin = breed.start[row_of(breed, direction, one), k]
        for time in range(begin, begin + network.duration[k]):
            breed.work[time + 1] += load
    for time in range(span):
        breed.work[time + 1] += breed.work[time]
    first, most = 0, -1.0
    for _ in range(STRETCHES):
        time = random_below(breed.seed, max(1, span - length + 1))
        work = breed.work[min(span, time + length)] - breed.work[time]
        if work > most:
            first, most = time, work
    return first, first + length
