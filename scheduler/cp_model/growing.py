"""Plan a small book boat by boat: each next one beside all that came before it.

Boats that are due first are planned first, as if the others had not been ordered. What
they come to at least is a bound for the whole book, because a plan without some of its
boats still keeps every rule: people, stations, molds and places are only asked for
less, set-ups keep the triangle inequality, and a mold may be serviced sooner than it
must. The next boat is put in beside the plan of those before it; only where that makes
more late days than must be are all of them planned anew.
"""

from __future__ import annotations

import time
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from scheduler.bounds import alone_tardiness
from scheduler.compiling.arrays import FREE
from scheduler.cp_model.model import Limits, ask, build_model
from scheduler.cp_model.windows import NoWay

if TYPE_CHECKING:
    from collections.abc import Callable

    from scheduler.compiling.arrays import Arrays
    from scheduler.compiling.compile import Compilation
    from scheduler.cp_model.model import CpResult
    from scheduler.cp_model.tighten import Effort
    from scheduler.solution import Solution

PUT_IN_SHARE = 0.1  # of what is left, to put one boat in beside the others
ANEW_SHARE = 0.5  # of what is left, to plan all boats so far anew
LOOSE = 4  # times the known value that a boat may be late where it is put in
WRITING = 0.002  # of the solver's units, to write the model of one operation
FOUND = ("optimal", "feasible")
WORST = (2**62,) * 3  # values of a plan that lacks boats: any other is better


@dataclass(frozen=True)
class Grown:
    """A better plan of all boats, if one came of it, and a bound on level 1.

    People are counted by subset, so that they may not all find names.
    """

    solution: Solution | None
    bound: int
    units: float  # of the solver's own measure of its work, writing models included


def grow(
    compilation: Compilation,
    value: int,
    effort: Effort,
    should_stop: Callable[[], bool],
) -> Grown:
    """Plan the boats in the order of their due days.

    Parameters
    ----------
    value : int
        Level 1 of a known plan; only better ones are looked for.
    effort : Effort
        What to spend at most.
    """
    growing = _Growing(compilation, value, effort, should_stop)
    for boat in growing.order:
        if growing.is_over():
            break
        growing.add(boat)
    plan = growing.plan
    if growing.missing or growing.lacking or (plan and plan.values[0] >= value):
        plan = None
    return Grown(plan, min(value, growing.bound), growing.units)


class _Growing:
    """The boats so far, their plan and what all boats come to at least."""

    def __init__(
        self,
        compilation: Compilation,
        value: int,
        effort: Effort,
        should_stop: Callable[[], bool],
    ) -> None:
        a = compilation.arrays
        self.compilation = compilation
        self.effort = effort
        self.should_stop = should_stop
        self.until = time.monotonic() + effort.seconds
        self.units = 0.0
        self.value = value
        self.alone = alone_tardiness(a)
        self.bound = sum(self.alone)
        self.plan: Solution | None = None
        self.order = boats_without_facts(a)
        self.missing = set(self.order)  # boats still to be added
        self.lacking: set[int] = set()  # boats that were added and the plan has not

    def is_over(self) -> bool:
        """Whether nothing is left to gain or to spend."""
        return self.bound >= self.value or self._left() <= 1.0 or self.should_stop()

    def add(self, boat: int) -> None:
        """Plan one more boat with all before it."""
        self.missing.discard(boat)
        self.lacking.add(boat)
        others = sum(self.alone[other] for other in self.missing)
        most = self.value - 1 - others
        if self._put_in(most):
            late = self.plan.values[0] if self.plan else 0
            if late + others <= self.bound:
                return
            most = min(most, late)
        result = self._ask(ANEW_SHARE, None, most)
        least = most + 1
        if result is not None and result.status != "infeasible":
            least = 0 if result.bound is None else result.bound
        self.bound = max(self.bound, least + others)
        self._keep(result)

    def _put_in(self, most: int) -> bool:
        """Put those that the plan lacks in, the others where they are; if it works."""
        if self.plan is None:
            return False
        a, before = self.compilation.arrays, self.plan.values[0]
        services = range(a.boats, len(a.boat_due))
        boats = [*sorted(self.lacking), *services]
        for allowed in (most - before, LOOSE * self.value):
            if self._keep(self._ask(PUT_IN_SHARE, boats, allowed)):
                return True
        return False

    def _keep(self, result: CpResult | None) -> bool:
        """Keep the plan of a solve; says whether there is one."""
        if result is None or result.status not in FOUND:
            return False
        self.plan = result.solution
        self.lacking.clear()
        return True

    def _ask(
        self,
        share: float,
        boats: list[int] | None,
        most: int,
    ) -> CpResult | None:
        """Ask for a plan of the boats so far; None if there is none."""
        hint = self.plan
        if hint is not None and self.lacking:
            away = self.lacking | self.missing
            hint = _without(self.compilation.arrays, hint, away)
        seconds, units = self._left() * share, None
        if self.effort.deterministic is not None:
            units = max(0.0, self.effort.deterministic - self.units) * share
        self.units += WRITING * self._operations()
        try:
            model = build_model(
                self.compilation,
                hint=hint,
                free_boats=boats,
                left_out=self.missing,
                most=most,
            )
        except NoWay:
            return None
        limits = Limits(
            seconds, self.effort.workers, self.effort.seed, units, self.should_stop
        )
        result = ask(model, limits)
        self.units += result.deterministic
        return result

    def _operations(self) -> int:
        """Operations of the boats so far: what a model has to be written for."""
        at = self.compilation.arrays.boat_at
        so_far = [boat for boat in self.order if boat not in self.missing]
        return int(sum(at[boat + 1] - at[boat] for boat in so_far))

    def _left(self) -> float:
        most = self.effort.deterministic
        if most is not None and most <= self.units:
            return 0.0
        return self.until - time.monotonic()


def boats_without_facts(a: Arrays) -> list[int]:
    """Boats of which nothing is done, begun or pinned, the first due first."""
    bound = {int(boat) for boat in a.boat_of[a.binding != FREE]}
    boats = [boat for boat in range(a.boats) if boat not in bound]
    return sorted(boats, key=lambda boat: (int(a.boat_due[boat]), boat))


def _without(a: Arrays, solution: Solution, boats: set[int]) -> Solution:
    """A plan as a hint that says nothing of some boats."""
    absent = np.isin(a.boat_of, sorted(boats))
    return replace(
        solution,
        start=np.where(absent, -1, solution.start).astype(np.int32),
        index=np.where(absent, -1, solution.index).astype(np.int32),
        length=np.where(absent, -1, solution.length).astype(np.int32),
        values=WORST,
    )
