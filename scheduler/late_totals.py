"""Which totals of weighted late days there can be at all.

Days are whole. Where every boat that is still open weighs 3, totals go in threes, and
a bound of 76 says 78.
"""

from __future__ import annotations

from math import gcd
from typing import TYPE_CHECKING

import numpy as np

from scheduler.bounds import alone_tardiness
from scheduler.compiling.arrays import BY_LAST_FINISH, FAR

if TYPE_CHECKING:
    from collections.abc import Collection

    from scheduler.compiling.arrays import Arrays


def next_bound(a: Arrays, bound: int) -> int:
    """The least that level 1 can be where it is no less than a bound.

    Boats with nothing left to decide count with the late days that they have.
    """
    if a.goal == BY_LAST_FINISH:
        return bound
    stands = np.flatnonzero(a.boat_fixed[: a.boats] != 0).tolist()
    alone = alone_tardiness(a) if stands else []
    given = sum(alone[boat] for boat in stands)
    return given + next_total(open_weights(a), bound - given)


def open_weights(a: Arrays, boats: Collection[int] | None = None) -> list[int]:
    """Weights of the open boats, or of some, that late days count for."""
    there = range(a.boats) if boats is None else boats
    return [
        int(a.boat_weight[boat])
        for boat in there
        if a.boat_fixed[boat] == 0 and a.boat_due[boat] < FAR
    ]


def next_total(weights: Collection[int], least: int) -> int:
    """The smallest sum of multiples of weights that is no less than a number.

    The number itself where nothing weighs anything.
    """
    kinds = sorted({weight for weight in weights if weight > 0})
    if least <= 0 or not kinds:
        return max(0, least)
    step = gcd(*kinds)
    if least >= kinds[-1] ** 2:  # from here on every multiple of the step is one
        return -(-least // step) * step
    is_total = [True]
    while len(is_total) <= least or not is_total[-1]:
        total = len(is_total)
        is_total.append(any(k <= total and is_total[total - k] for k in kinds))
    return len(is_total) - 1
