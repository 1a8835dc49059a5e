"""Pulling means of few values towards what they have in common.

The nested random model: values of a cell scatter about the cell's own mean, means of
cells about that of their group, means of groups about a known center. Variances are
estimated by the method of moments, from sums of squares; a mean is then a weighted
average of what was measured and of what it is pulled to (best linear prediction, which
is also the empirical Bayes estimate where all of it is normal).

Source: Searle, Casella and McCulloch, *Variance Components* (Wiley, 1992), chapters 3
(unbalanced one-way model) and 7 (prediction); chapters from memory. A worked example
with published figures is in `tests/outside/test_shrinkage_outside.py`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import fsum

Cell = Sequence[float]
Group = Sequence[Cell]


@dataclass(frozen=True, slots=True)
class Guess:
    """A mean that is known roughly: its value and the variance of its error."""

    mean: float
    variance: float


def mean_of(values: Sequence[float]) -> float:
    """The mean; the same for any order of the values."""
    return fsum(values) / len(values)


def degrees_within(groups: Sequence[Group]) -> int:
    """How many values there are beyond the first of each cell."""
    return sum(len(cell) - 1 for group in groups for cell in group)


def variance_within(groups: Sequence[Group]) -> float:
    """Variance of values about the mean of their cell, pooled over all cells.

    0 where no cell has two values.
    """
    degrees = degrees_within(groups)
    squares = fsum(
        (value - mean_of(cell)) ** 2
        for group in groups
        for cell in group
        for value in cell
    )
    return squares / degrees if degrees else 0.0


def variance_between(groups: Sequence[Group], within: float) -> float:
    """Variance of cells about the mean of their group, pooled over all groups.

    The sum of squares between k cells of n values each has the expectation
    (k - 1) `within` + (N - sum(n squared) / N) times this variance. 0 where the sum of
    squares is less than chance makes it, or no group has two cells.
    """
    excess, weight = [], []
    for group in groups:
        count = sum(map(len, group))
        center = mean_of([value for cell in group for value in cell])
        squares = fsum(len(cell) * (mean_of(cell) - center) ** 2 for cell in group)
        excess.append(squares - (len(group) - 1) * within)
        weight.append(count - fsum(len(cell) ** 2 for cell in group) / count)
    total = fsum(weight)
    return max(0.0, fsum(excess) / total) if total > 1e-9 else 0.0


def group_mean(group: Group, within: float, between: float) -> Guess:
    """The mean of a group from the means of its cells, each by its precision.

    Where neither variance is above 0 every value counts alike.
    """
    if within <= 0 and between <= 0:
        return Guess(mean_of([value for cell in group for value in cell]), 0.0)
    weights = [1 / (between + within / len(cell)) for cell in group]
    pairs = zip(weights, group, strict=True)
    mean = fsum(weight * mean_of(cell) for weight, cell in pairs) / fsum(weights)
    return Guess(mean, 1 / fsum(weights))


def variance_about(center: float, guesses: Sequence[Guess]) -> float:
    """Variance of true means about a known center, from rough ones; at least 0."""
    spread = [(one.mean - center) ** 2 - one.variance for one in guesses]
    return max(0.0, mean_of(spread)) if spread else 0.0


def share_kept(variance: float, error_variance: float) -> float:
    """How much of its distance from what it is pulled to a measured mean keeps.

    `variance` is that of true means about it, `error_variance` that of the measured
    mean about the true one: 0 keeps nothing, 1 everything.
    """
    total = variance + error_variance
    return variance / total if total > 0 else 0.0


def pulled(measured: Guess, towards: Guess, variance: float, degrees: int = 0) -> Guess:
    """A measured mean, pulled to the mean of what it is one of.

    As `variance` is itself an estimate, the error is larger than for a known one: by
    2 / degrees times the square of what was pulled away (Morris, *Parametric Empirical
    Bayes Inference*, Journal of the American Statistical Association 78, 1983; formula
    from memory).

    Parameters
    ----------
    measured : Guess
        The mean of some values, with the variance of its error.
    towards : Guess
        The mean of its kind, itself known with an error.
    variance : float
        Variance of true means about the true mean of their kind.
    degrees : int, optional
        Degrees of freedom of `variance`; without any it counts as known.
    """
    kept = share_kept(variance, measured.variance)
    away = (1 - kept) * (measured.mean - towards.mean)
    error = kept * measured.variance + (1 - kept) ** 2 * towards.variance
    if degrees:
        error += 2 / degrees * away**2
    return Guess(measured.mean - away, error)
