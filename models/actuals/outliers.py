"""Values so far from the others that somebody should look at them.

The rule of the modified z-score: 0.6745 times the distance from the median, divided by
the median of all such distances, above 3.5 (NIST/SEMATECH *e-Handbook of Statistical
Methods*, section 1.3.5.17, after Iglewicz and Hoaglin, 1993). Nothing is thrown away:
a value beyond the fence is flagged, and counts as one that lies on the fence.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

MOST_SCORE = 3.5
NORMAL_SHARE = 0.6745  # median distance of a normal value, in standard deviations
FEWEST_VALUES = 5  # fewer say too little of how far apart values lie


@dataclass(frozen=True, slots=True)
class Fence:
    """From where to where nothing is flagged."""

    low: float
    high: float

    def flags(self, value: float) -> bool:
        """Whether a value lies beyond."""
        return not self.low <= value <= self.high

    def held(self, value: float) -> float:
        """The value, or the side of the fence beyond which it lies."""
        return min(max(value, self.low), self.high)


def modified_scores(values: Sequence[float]) -> list[float]:
    """The modified z-score of each value; 0 for all where half of them are equal."""
    center = median(values)
    spread = median(abs(value - center) for value in values)
    if spread == 0:
        return [0.0 for _ in values]
    return [NORMAL_SHARE * (value - center) / spread for value in values]


def fence_around(values: Sequence[float], least: float) -> Fence | None:
    """The fence that values of one kind have in common.

    Parameters
    ----------
    values : sequence of float
        Of one kind, in any unit.
    least : float
        The distance from the median that is never flagged, however close together
        the values are.

    Returns
    -------
    Fence or None
        None for fewer than `FEWEST_VALUES` values.
    """
    if len(values) < FEWEST_VALUES:
        return None
    center = median(values)
    spread = median(abs(value - center) for value in values)
    reach = max(least, MOST_SCORE * spread / NORMAL_SHARE)
    return Fence(center - reach, center + reach)
