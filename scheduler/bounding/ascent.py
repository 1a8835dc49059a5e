"""Prices that raise the bound step by step: Lagrangean relaxation of what is shared.

At prices p of at least 0 for every resource and bucket, no plan costs less than

    sum over boats of (cheapest schedule of the boat alone, paying p for what it uses)
    minus the sum over resources and buckets of p x capacity,

because a plan pays no more than p x capacity in all. The difference between use and
capacity at the cheapest schedules says which prices to raise and which to lower.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from scheduler.bounding.forest import Trees, grow_trees
from scheduler.bounding.pricing import (
    Prices,
    Scratch,
    count_use,
    price_boats,
)
from scheduler.bounding.supply import Floats, Supply, make_supply
from scheduler.decoding.decoder import facts_state

if TYPE_CHECKING:
    from scheduler.compiling.arrays import Arrays
    from scheduler.compiling.compile import Compilation


@dataclass(frozen=True)
class Relaxation:
    """A book's boats apart from each other, and what they share."""

    a: Arrays
    supply: Supply
    trees: Trees


@dataclass(frozen=True)
class Evaluation:
    """The bound at some prices, and what use exceeds or leaves of capacity there."""

    bound: float
    excess: Floats  # [rows, buckets]
    boat_cost: Floats


def relax(compilation: Compilation, days: int) -> Relaxation | None:
    """Take a book apart, with prices by stretches of days; None if facts clash."""
    state, sound = facts_state(compilation.arrays)
    if not sound:
        return None
    supply = make_supply(compilation, state, days)
    a = compilation.arrays
    return Relaxation(a, supply, grow_trees(a, supply, state))


def evaluate(
    relaxation: Relaxation, prices: Floats, step: int, scratch: Scratch
) -> Evaluation:
    """The bound at prices by row and bucket.

    With a `step` of 1 every start is tried, and the bound is valid. A larger one is
    quicker and only good for choosing prices.
    """
    a, supply, trees = relaxation.a, relaxation.supply, relaxation.trees
    sums, by_set = _sum_prices(relaxation, prices, step)
    scratch.value[:] = 0.0
    price_boats(a, trees.forest, sums, scratch)
    costs = np.where(scratch.value < 0, 0.0, scratch.value)
    use = _use(relaxation, scratch)
    total = costs.sum() + trees.fixed_cost + _given_parts(relaxation, by_set)
    bound = float(total - (prices * supply.capacity).sum())
    return Evaluation(bound, use - supply.capacity, costs)


def _sum_prices(
    relaxation: Relaxation, prices: Floats, step: int
) -> tuple[Prices, Floats]:
    """Sums along the axis; also the sums by set of slots at the edges of buckets."""
    a, supply, trees = relaxation.a, relaxation.supply, relaxation.trees
    inside = supply.bucket_of >= 0
    positions = len(supply.bucket_of)
    by_skill = supply.skills.T @ prices
    labor = np.zeros((max(1, len(trees.labor_rows)), positions + 1))
    for row, (track, skill) in enumerate(trees.labor_rows):
        entries = slice(a.track_at[track], a.track_at[track + 1])
        at = a.open_position[entries]
        paid = inside[at] & (a.in_break[entries] == 0)
        each = np.where(paid, by_skill[skill, np.maximum(supply.bucket_of[at], 0)], 0.0)
        labor[row, 1 : len(at) + 1] = np.cumsum(each)
    by_station = supply.stations.T @ prices
    stations = np.zeros((max(1, len(by_station)), positions + 1))
    each = np.where(inside, by_station[:, np.maximum(supply.bucket_of, 0)], 0.0)
    stations[: len(by_station), 1:] = np.cumsum(each, axis=1)
    by_set = supply.sets.T @ prices
    starts = a.ref_of.astype(np.int64)
    finishes = np.concatenate([[0], starts[:-1] + 1])
    sums = Prices(
        step=step,
        latest=np.ascontiguousarray(trees.forest.latest // step),
        labor=labor,
        stations=stations,
        at_start=_up_to(supply, by_set, starts),
        at_finish=_up_to(supply, by_set, finishes),
    )
    return sums, by_set


def _up_to(supply: Supply, by_set: Floats, ticks: np.ndarray) -> Floats:
    """Price of a slot of each set from now up to each tick: [sets or 1, ticks]."""
    edges = supply.edges
    lengths = np.diff(edges)
    until = np.concatenate(
        [np.zeros((len(by_set), 1)), np.cumsum(by_set * lengths, axis=1)], axis=1
    )
    at = np.clip(np.searchsorted(edges, ticks, side="right") - 1, 0, len(lengths) - 1)
    into = np.maximum(ticks - edges[at], 0)
    out = np.zeros((max(1, len(by_set)), len(ticks)))
    out[: len(by_set)] = until[:, at] + by_set[:, at] * into
    return out


def _given_parts(relaxation: Relaxation, by_set: Floats) -> float:
    """What holds are paid up to a given begin, which the trees leave out."""
    trees, supply = relaxation.trees, relaxation.supply
    given = trees.priced_holds[trees.hold_begin >= 0]
    begin = trees.hold_begin[trees.hold_begin >= 0]
    if not len(given):
        return 0.0
    paid = _up_to(supply, by_set, begin)
    return -float(paid[supply.set_of_hold[given], np.arange(len(given))].sum())


def _use(relaxation: Relaxation, scratch: Scratch) -> Floats:
    """What the chosen schedules use, by row and bucket."""
    a, supply, trees = relaxation.a, relaxation.supply, relaxation.trees
    buckets = len(supply.edges) - 1
    skills = np.zeros((supply.skills.shape[1], buckets))
    stations = np.zeros((supply.stations.shape[1], buckets))
    count_use(
        a, trees.forest, scratch, supply.bucket_of.astype(np.int32), skills, stations
    )
    holds = trees.priced_holds
    last = a.hold_to[holds]
    start = np.where(
        trees.hold_begin >= 0, trees.hold_begin, scratch.start[a.hold_from[holds]]
    )
    finish = np.where(
        a.hold_to_end[holds] != 0, scratch.finish[last], scratch.start[last]
    )
    sets = np.zeros((supply.sets.shape[1], buckets))
    np.add.at(
        sets,
        supply.set_of_hold[holds],
        supply.overlaps(start.astype(np.int64), finish.astype(np.int64)),
    )
    use: Floats = (
        supply.skills @ skills + supply.stations @ stations + supply.sets @ sets
    )
    return use


def scaled_capacity(supply: Supply) -> Floats:
    """A usual capacity of each row, so that prices of all rows move alike."""
    count = np.maximum((supply.capacity > 0).sum(axis=1), 1)
    mean: Floats = supply.capacity.sum(axis=1) / count
    return np.maximum(mean, 1.0)
