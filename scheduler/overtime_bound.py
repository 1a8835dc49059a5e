"""What no plan beats, whichever windows of overtime it opens.

The wider problem of `every_window` holds for every set of windows. It is asked for a
better plan than the one found; where it has none, that one is proven best.
"""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

from scheduler.bounds import alone_tardiness
from scheduler.compiling.arrays import BY_DUE_DATES
from scheduler.compiling.compile import compile_problem
from scheduler.cp_model.model import Limits, ask, build_model
from scheduler.cp_model.setting import share
from scheduler.cp_model.which_boats import boats_without_facts
from scheduler.cp_model.windows import NoWay
from scheduler.decoding.decoder import tardy_days
from scheduler.every_window import stays_in_stretches, with_every_window
from scheduler.late_totals import next_bound, next_total, open_weights

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from scheduler.compiling.arrays import Arrays
    from scheduler.compiling.compile import Compilation
    from scheduler.cp_model.tighten import Effort, Tightened
    from scheduler.cp_model.windows import Floor
    from scheduler.solution import Solution

FEW = 3  # totals of late days that one model may allow
SECONDS_TO_WRITE = 0.01  # a model, for each operation of its boats; measured
MOST_VARIABLES = 60_000  # of a model that is asked: more take over a gigabyte
PART_SHARE = 0.3  # of what is left, for what some of the boats come to at least


def bound_by_model(
    compilation: Compilation,
    done: Tightened,
    effort: Effort,
    should_stop: Callable[[], bool],
) -> int:
    """Bound level 1 for every set of windows by asking for a better plan of any.

    Parameters
    ----------
    done : Tightened
        A plan with one set of windows, that of `compilation`, and what holds for that
        set: whatever some boats come to at least in it is asked of the wider problem,
        too. In the end a plan is asked for with fewer late days, of the boats up to the
        last late one, the first due first; the others come to what they do alone.

    Returns
    -------
    int
        Its weighted late days where there is no better plan; 0 where nothing is known.
    """
    wider = compile_problem(with_every_window(compilation.stated), BY_DUE_DATES)
    a = wider.arrays
    if not a.complete or compilation.arrays.goal != BY_DUE_DATES:
        return 0
    by_stretch = stays_in_stretches(compilation.stated)
    raising = _Raising(wider, effort, by_stretch, should_stop)
    solution = done.settled.solution
    value = solution.values[0]
    late = _late_ones(a, solution, boats_without_facts(a))
    target = value - raising.of_others(late)
    is_proven = done.bound >= value
    for boats, floor in _highest(done.floors):
        if boats < late or not is_proven:
            raising.raise_at_once(boats, floor, PART_SHARE)
    if is_proven:
        raising.raise_at_once(late, target, 1.0)
    else:
        raising.raise_by_steps(late, target)
    return min(value, raising.bound())


class _Raising:
    """One question after the other to models of some boats, and what they came to."""

    def __init__(
        self,
        wider: Compilation,
        effort: Effort,
        by_stretch: bool,
        should_stop: Callable[[], bool],
    ) -> None:
        a = wider.arrays
        self.wider, self.effort, self.should_stop = wider, effort, should_stop
        self.shared = share(wider, by_stretch=by_stretch)
        self.until = time.monotonic() + effort.seconds
        self.units = effort.deterministic
        self.alone = alone_tardiness(a)
        self.boats = {boat for boat in range(a.boats) if not a.boat_fixed[boat]}
        self.floors: dict[frozenset[int], int] = {}

    def of_others(self, boats: frozenset[int]) -> int:
        """What all but some boats come to alone."""
        return sum(self.alone) - self._alone(boats)

    def _alone(self, boats: Iterable[int]) -> int:
        return sum(self.alone[boat] for boat in boats)

    def least(self, boats: frozenset[int]) -> int:
        """What boats come to at least, as far as that is known."""
        known = [
            floor + self._alone(boats - those)
            for those, floor in self.floors.items()
            if those <= boats
        ]
        return max(known, default=self._alone(boats))

    def bound(self) -> int:
        """What all boats come to at least."""
        given = sum(self.alone) - self._alone(self.boats)
        return next_bound(self.wider.arrays, self.least(frozenset(self.boats)) + given)

    def raise_at_once(self, boats: frozenset[int], target: int, part: float) -> None:
        """Ask whether boats come to a target at least, for a part of what is left."""
        if self.least(boats) < target and not self.is_over(boats):
            self._learn(boats, self.proven(boats, target - 1, part))

    def raise_by_steps(self, boats: frozenset[int], target: int) -> None:
        """Ask for the least total at first, as many starts make a large model.

        Then for any of two more, of four more, and so on. Where few lie below the
        target, all of them are asked for.
        """
        weights = open_weights(self.wider.arrays, boats)
        step = 1
        while self.least(boats) < target and not self.is_over(boats):
            most = next_total(weights, self.least(boats))
            for _ in range(step - 1):
                most = min(next_total(weights, most + 1), target - 1)
            near = most
            for _ in range(FEW):
                near = next_total(weights, near + 1)
            if near >= target:
                most = target - 1
            proven = self.proven(boats, most, 1.0)
            self._learn(boats, proven)
            if proven <= most:
                break
            step *= 2

    def is_over(self, boats: frozenset[int]) -> bool:
        """Whether what is left does not pay for a model of these boats."""
        spent = self.units is not None and self.units <= 0
        at = self.wider.arrays.boat_at
        operations = sum(int(at[boat + 1] - at[boat]) for boat in boats)
        left = self.until - time.monotonic()
        return spent or left < SECONDS_TO_WRITE * operations or self.should_stop()

    def _learn(self, boats: frozenset[int], proven: int) -> None:
        if proven > self.least(boats):
            weights = open_weights(self.wider.arrays, boats)
            self.floors[boats] = next_total(weights, proven)

    def proven(self, boats: frozenset[int], most: int, part: float) -> int:
        """Weighted late days that have no plan below them, of so many at most."""
        left_out = self.boats - boats
        known = [one for one in self.floors.items() if not one[0] & left_out]
        try:
            model = build_model(
                self.wider,
                hint=None,
                left_out=left_out,
                most=most,
                floors=known,
                shared=self.shared,
            )
        except NoWay:
            return most + 1
        if model.draft.variables > MOST_VARIABLES:
            return 0
        left = max(0.0, self.until - time.monotonic()) * part
        limits = Limits(
            left,
            self.effort.workers,
            self.effort.seed,
            None if self.units is None else self.units * part,
            self.should_stop,
            race=True,
        )
        result = ask(model, limits)
        if self.units is not None:
            self.units -= result.deterministic
        if result.status == "infeasible":
            return most + 1
        return min((result.bound or 0) - model.standing, most)


def _highest(floors: Iterable[Floor]) -> list[Floor]:
    """The highest floor of each set of boats, the smallest set first."""
    highest: dict[frozenset[int], int] = {}
    for boats, floor in floors:
        highest[boats] = max(floor, highest.get(boats, 0))
    return sorted(highest.items(), key=lambda one: (len(one[0]), sorted(one[0])))


def _late_ones(a: Arrays, solution: Solution, order: list[int]) -> frozenset[int]:
    """The first of some boats, up to the last late one, and those with facts."""
    late = 0
    for place, boat in enumerate(order, 1):
        finish = solution.finish[a.boat_at[boat] : a.boat_at[boat + 1]].max()
        if tardy_days(a, boat, int(finish)) and a.boat_weight[boat]:
            late = place
    there = {boat for boat in range(a.boats) if not a.boat_fixed[boat]}
    return frozenset(there - set(order[late:]))
