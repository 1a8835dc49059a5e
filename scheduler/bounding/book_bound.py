"""The bound of a whole book: prices found by subgradient steps, and what they say."""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from scheduler.bounding.ascent import evaluate, relax, scaled_capacity
from scheduler.bounding.pricing import new_scratch
from scheduler.compiling.arrays import BY_DUE_DATES

if TYPE_CHECKING:
    from scheduler.bounding.ascent import Relaxation
    from scheduler.bounding.supply import Floats
    from scheduler.compiling.compile import Compilation

STEPS = 150
"""Price changes on a book of some forty boats."""

FEWEST_STEPS, LARGEST = 40, 3.0e9
"""A book for which so few steps would exceed so many starts tried is left alone."""

HOPELESS = 50  # steps after which prices that have gained nothing are given up
HOT, COOL = 0.3, 0.01  # share of the way to the plan's value, at first and at last
MOST_BUCKETS, LONG_BUCKET_DAYS = 80, 7
COARSE_FROM, COARSE, FINE = 4000, 16, 2  # positions of the axis; open ticks skipped
ROUNDING = 1e-6  # of floating-point sums, before a bound is rounded up to whole days
SHOWN = 0.1  # share of all that is paid from which on a resource is named


@dataclass(frozen=True)
class BookBound:
    """Weighted late days that no plan of the book avoids, and why.

    `late` are the orders that are late even alone in an empty yard. `rests_on` names
    the resources whose prices carry the bound, dearest first, each with its share.
    """

    value: int
    late: tuple[str, ...]
    rests_on: tuple[tuple[str, float], ...]


def bound_book(
    compilation: Compilation,
    plan_value: int,
    seconds: float = math.inf,
    should_stop: Callable[[], bool] = lambda: False,
) -> BookBound | None:
    """Bound level 1 by people, stations, molds and places together.

    Parameters
    ----------
    plan_value : int
        Level 1 of a known plan: how far there is to go at most.
    seconds : float
        Steps end then, though fewer; what they are is only determined without it.
    should_stop : callable
        Asked between steps; the best prices so far are used.

    Returns
    -------
    BookBound or None
        None where the book is too large to be worth it, where facts clash, or where
        plans are measured by something else first.
    """
    a = compilation.arrays
    if a.goal != BY_DUE_DATES:
        return None
    operations, positions = len(a.boat_of), len(a.ref_of) - 1
    steps = min(STEPS, int(LARGEST / max(1, operations * positions)))
    if steps < FEWEST_STEPS:
        return None
    span_days = (a.ticks - a.now) / a.ticks_per_day
    days = 1 if span_days <= MOST_BUCKETS else LONG_BUCKET_DAYS
    relaxation = relax(compilation, days)
    if relaxation is None:
        return None
    nothing = np.zeros_like(relaxation.supply.capacity)
    prices = nothing
    if plan_value > 0:
        coarse = COARSE if positions > COARSE_FROM else FINE
        prices = raise_prices(
            relaxation, plan_value, steps, coarse, seconds, should_stop
        )
    exact = new_scratch(a, 1)
    bound = evaluate(relaxation, nothing, 1, exact).bound
    if prices.any():
        priced = evaluate(relaxation, prices, 1, exact).bound
        bound, prices = (priced, prices) if priced > bound else (bound, nothing)
    late = relaxation.trees.forest.least_late
    return BookBound(
        value=max(0, math.ceil(bound - ROUNDING * max(1.0, abs(bound)))),
        late=tuple(compilation.orders[boat] for boat in np.flatnonzero(late > 0)),
        rests_on=_dearest(relaxation, prices),
    )


def raise_prices(
    relaxation: Relaxation,
    plan_value: int,
    steps: int,
    coarse: int,
    seconds: float,
    should_stop: Callable[[], bool],
) -> Floats:
    """Prices by subgradient steps from zero, each of a falling share of the gap.

    The step length is Polyak's: share x (plan's value - bound) / |excess| squared
    (B. T. Polyak, "Minimization of unsmooth functionals", 1969; from memory). Prices
    are in units of each resource's usual capacity, so that a mold and a dozen people
    move alike. The coarse grid chooses prices; the bound is stated by the exact one.
    """
    scratch = new_scratch(relaxation.a, coarse)
    scale = scaled_capacity(relaxation.supply)[:, None]
    prices = np.zeros_like(relaxation.supply.capacity)
    best, best_prices = -math.inf, prices
    start, began = 0.0, time.monotonic()
    for step in range(steps):
        found = evaluate(relaxation, prices / scale, coarse, scratch)
        start = found.bound if step == 0 else start
        if found.bound > best:
            best, best_prices = found.bound, prices
        done = max(step / steps, (time.monotonic() - began) / max(seconds, 1e-9))
        if done >= 1 or should_stop() or (step == HOPELESS and best <= start):
            break
        excess = found.excess / scale
        moving = np.where((prices <= 0) & (excess < 0), 0.0, excess)
        length = float((moving**2).sum())
        if length == 0:
            break
        share = HOT * (COOL / HOT) ** done
        gap = plan_value - max(start, found.bound)
        prices = np.maximum(0.0, prices + share * gap / length * moving)
    out: Floats = best_prices / scale
    return out


def _dearest(relaxation: Relaxation, prices: Floats) -> tuple[tuple[str, float], ...]:
    paid = (prices * relaxation.supply.capacity).sum(axis=1)
    total = float(paid.sum())
    if total <= 0:
        return ()
    order = np.argsort(-paid, kind="stable")
    return tuple(
        (relaxation.supply.names[row], float(paid[row]) / total)
        for row in order.tolist()
        if paid[row] >= SHOWN * total
    )
