"""When cures end that a cold shop lengthens: look-ups from start to end and back."""

from __future__ import annotations

from datetime import date

import numpy as np
from numpy.typing import NDArray

from models.cures import MILLION, cure_millionths
from models.errors import UsageError
from scheduler.problem import Problem, Wait

NEVER = 2**30
"""A tick later than any on the axis."""

Family = tuple[float, float, int, int]
"""Activation energy, reference temperature, data sheet's minutes, least ticks."""


def family_of(wait: Wait, tick_minutes: int) -> Family | None:
    """What the end of a wait depends on beside its start; None on a plain clock."""
    activation, reference = wait.activation_kj_per_mol, wait.reference_celsius
    if activation is None or reference is None:
        return None
    sheet = wait.data_sheet_min_minutes or 0
    return activation, reference, sheet, -(-wait.min_minutes // tick_minutes)


class Curing:
    """Ends of cures by the shop's temperature, each family worked out once.

    A cure that begins at tick s ends at the first tick t with t - s at least its
    minimum and with equivalent minutes in [s, t) of at least the data sheet's.
    """

    def __init__(self, problem: Problem) -> None:
        self._problem = problem
        self._ends: dict[Family, NDArray[np.int32]] = {}

    def ends(self, family: Family) -> NDArray[np.int32]:
        """The end of a cure for each start from 0 to the axis's end, NEVER if later.

        Raises
        ------
        UsageError
            If the problem does not say how warm the shop is.
        """
        if family not in self._ends:
            activation, reference, sheet, least = family
            ripe = self._ripened(activation, reference)
            ends = np.searchsorted(ripe, ripe + sheet * MILLION)
            ends = np.maximum(ends, np.arange(len(ripe)) + least)
            ends[ends >= len(ripe)] = NEVER
            self._ends[family] = ends.astype(np.int32)
        return self._ends[family]

    def begins(self, family: Family) -> NDArray[np.int32]:
        """The last start of a cure that ends by each tick, -1 if there is none."""
        ends = self.ends(family)
        found = np.searchsorted(ends, np.arange(len(ends)), side="right") - 1
        return found.astype(np.int32)

    def end(self, wait: Wait, since: int) -> int | None:
        """The end of a wait that began at a tick; None on a plain clock."""
        family = family_of(wait, self._problem.axis.tick_minutes)
        if family is None:
            return None
        ends = self.ends(family)
        return int(ends[min(max(since, 0), len(ends) - 1)])

    def _ripened(self, activation: float, reference: float) -> NDArray[np.int64]:
        """Millionths of equivalent minutes from the axis's start to each tick."""
        axis, rows = self._problem.axis, self._problem.temperature
        if not rows or rows[0].date > axis.local(0).date().isoformat():
            raise UsageError(
                "a cure depends on the temperature of the shop, which is not given "
                "from the start of the plan on"
            )
        rates = np.zeros(axis.ticks, np.int64)
        for row in rows:
            since = max(0, axis.day_start(date.fromisoformat(row.date)))
            rates[since:] = cure_millionths(row.celsius, reference, activation)
        return np.concatenate([[0], np.cumsum(rates * axis.tick_minutes)])
