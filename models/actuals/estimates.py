"""The standard that recorded hours suggest, by boat model and operation.

Each boat gives one figure: the logarithm of hours recorded over standard hours. The
figures of a model are pulled to those of the same operation on all models, and these to
0, the standard as it stands (`models.actuals.shrinkage`): the fewer boats, the more.
Hours of handwork are skewed, and what a plan needs is their mean, not their median. If
logarithms are normal with the variance s2, the mean lies exp(s2 / 2) above the median,
so s2 / 2 is added to every figure before it is pulled.

A figure beyond the fence (`models.actuals.outliers`) is flagged and counts as if it
lay on the fence: that of its model and operation or, where those have too few boats,
that of the operation.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from models.actuals.finished import FinishedStep
from models.actuals.outliers import Fence, fence_around
from models.actuals.shrinkage import (
    Guess,
    degrees_within,
    group_mean,
    mean_of,
    pulled,
    variance_about,
    variance_between,
    variance_within,
)

NEVER_FLAGGED = math.log(1.25)
"""Hours within a quarter of the usual are never flagged (our own choice)."""
ERRORS_APART = 2.0
"""A standard is suggested if it is so many standard errors from the one that holds."""
FEWEST_BOATS = 2

Key = tuple[str, str]  # model and operation


@dataclass(frozen=True, slots=True)
class Estimate:
    """What the recorded hours of one operation of one model come to.

    Factors multiply the standard hours of the boat's file: `factor` is the estimate,
    `own_factor` the mean of these boats alone, `operation_factor` that of the operation
    on all models. `relative_error` is the standard error of `factor` as a share of it.
    """

    model: str
    operation: str
    boats: int
    standard_hours: float  # of one boat, in the mean
    actual_hours: float
    own_factor: float
    operation_factor: float
    factor: float
    relative_error: float
    flagged: tuple[FinishedStep, ...]

    @property
    def interval(self) -> tuple[float, float]:
        """The factor less and more two standard errors."""
        reach = math.exp(ERRORS_APART * self.relative_error)
        return self.factor / reach, self.factor * reach

    def differs_from(self, factor: float) -> bool:
        """Whether it is further from a factor than chance makes likely."""
        if self.boats < FEWEST_BOATS or round(self.factor, 2) == round(factor, 2):
            return False
        apart = abs(math.log(self.factor / factor))
        return apart > ERRORS_APART * self.relative_error


def estimates(steps: Sequence[FinishedStep]) -> tuple[Estimate, ...]:
    """Estimate the standard of each model and operation, in order of their names.

    Parameters
    ----------
    steps : sequence of FinishedStep
        One for each boat, in any order.

    Returns
    -------
    tuple of Estimate
        Empty where no operation was finished on two boats of a model: then nobody can
        tell how far apart boats lie.
    """
    by_key: dict[Key, list[FinishedStep]] = defaultdict(list)
    for step in sorted(steps, key=lambda one: (one.model, one.operation, one.order)):
        by_key[step.model, step.operation].append(step)
    fences = _fences(by_key)
    figures = {key: _held(rows, fences[key]) for key, rows in by_key.items()}
    return tuple(_estimates(by_key, fences, figures))


def _estimates(
    by_key: Mapping[Key, Sequence[FinishedStep]],
    fences: Mapping[Key, Fence | None],
    figures: Mapping[Key, Sequence[float]],
) -> Iterator[Estimate]:
    operations: dict[str, list[Key]] = defaultdict(list)
    for key in by_key:
        operations[key[1]].append(key)
    groups = {name: [figures[key] for key in keys] for name, keys in operations.items()}
    nested = list(groups.values())
    if degrees_within(nested) == 0:
        return
    within = variance_within(nested)
    between = variance_between(nested, within)
    lift = within / 2
    common = {
        name: group_mean(group, within, between) for name, group in groups.items()
    }
    common = {
        name: Guess(one.mean + lift, one.variance) for name, one in common.items()
    }
    among = variance_about(0.0, list(common.values()))
    for key, rows in by_key.items():
        operation = pulled(common[key[1]], Guess(0.0, 0.0), among, len(common))
        own = Guess(mean_of(figures[key]) + lift, within / len(rows))
        found = pulled(own, operation, between, len(by_key) - len(common))
        fence = fences[key]
        yield Estimate(
            model=key[0],
            operation=key[1],
            boats=len(rows),
            standard_hours=mean_of([one.standard_hours for one in rows]),
            actual_hours=mean_of([one.actual_hours for one in rows]),
            own_factor=math.exp(own.mean),
            operation_factor=math.exp(operation.mean),
            factor=math.exp(found.mean),
            relative_error=math.sqrt(found.variance),
            flagged=tuple(
                one for one in rows if fence is not None and fence.flags(_figure(one))
            ),
        )


def _figure(step: FinishedStep) -> float:
    return math.log(step.actual_hours / step.standard_hours)


def _fences(by_key: Mapping[Key, Sequence[FinishedStep]]) -> dict[Key, Fence | None]:
    of_operation: dict[str, list[float]] = defaultdict(list)
    for (_, operation), rows in by_key.items():
        of_operation[operation] += map(_figure, rows)
    common = {
        name: fence_around(values, NEVER_FLAGGED)
        for name, values in of_operation.items()
    }
    out: dict[Key, Fence | None] = {}
    for key, rows in by_key.items():
        own = fence_around([_figure(one) for one in rows], NEVER_FLAGGED)
        out[key] = common[key[1]] if own is None else own
    return out


def _held(rows: Sequence[FinishedStep], fence: Fence | None) -> list[float]:
    values = [_figure(one) for one in rows]
    return values if fence is None else [fence.held(value) for value in values]
