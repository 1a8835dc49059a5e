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
from scheduler.cp_model.setting import make_setting, share
from scheduler.cp_model.which_boats import boats_without_facts
from scheduler.cp_model.windows import NoWay, find_windows
from scheduler.decoding.decoder import tardy_days
from scheduler.every_window import stays_in_stretches, with_every_window
from scheduler.late_totals import next_bound, next_total, open_weights

if TYPE_CHECKING:
    from collections.abc import Callable

    from scheduler.compiling.arrays import Arrays
    from scheduler.compiling.compile import Compilation
    from scheduler.cp_model.setting import Setting, Shared
    from scheduler.cp_model.tighten import Effort
    from scheduler.cp_model.windows import Floor
    from scheduler.solution import Solution

FEW = 3  # totals of late days that one model may allow
SECONDS_TO_WRITE = 0.01  # a model, for each operation of its boats; measured
MOST_VARIABLES = 160_000  # of a model that is asked: more take over a gigabyte


def bound_by_model(
    compilation: Compilation,
    solution: Solution,
    effort: Effort,
    should_stop: Callable[[], bool],
) -> int:
    """Bound level 1 for every set of windows by asking for a better plan of any.

    Parameters
    ----------
    solution : Solution
        A plan with one set of windows, that of `compilation`. Asked for is one of the
        boats up to the last late one, the first due first, with fewer late days; the
        others come to what they come to alone.

    Returns
    -------
    int
        Its weighted late days where there is no better plan; 0 where nothing is known.
    """
    value = solution.values[0]
    wider = compile_problem(with_every_window(compilation.stated), BY_DUE_DATES)
    a = wider.arrays
    if not a.complete or compilation.arrays.goal != BY_DUE_DATES:
        return 0
    order = boats_without_facts(a)
    alone = alone_tardiness(a)
    given = sum(alone[boat] for boat in range(a.boats) if a.boat_fixed[boat])
    by_stretch = stays_in_stretches(compilation.stated)
    raising = _Raising(wider, effort, by_stretch, should_stop)
    late = _late_ones(a, solution, order)
    floors = _floors(wider, order, late, value - 1 - given, raising.shared)
    rest = given + sum(alone[boat] for boat in order[late:])
    least = raising.raised(set(order[late:]), value - rest, floors)
    return min(value, next_bound(a, least + rest))


class _Raising:
    """One question after the other to models of the first boats."""

    def __init__(
        self,
        wider: Compilation,
        effort: Effort,
        by_stretch: bool,
        should_stop: Callable[[], bool],
    ) -> None:
        self.wider, self.effort, self.should_stop = wider, effort, should_stop
        self.shared = share(wider, by_stretch=by_stretch)
        self.until = time.monotonic() + effort.seconds
        self.units = effort.deterministic

    def is_over(self, boats: set[int]) -> bool:
        """Whether what is left does not pay for a model of these boats."""
        spent = self.units is not None and self.units <= 0
        at = self.wider.arrays.boat_at
        operations = sum(int(at[boat + 1] - at[boat]) for boat in boats)
        left = self.until - time.monotonic()
        return spent or left < SECONDS_TO_WRITE * operations or self.should_stop()

    def raised(self, left_out: set[int], value: int, floors: list[Floor]) -> int:
        """What boats come to at least; no more than a value is of interest.

        Asked for is a plan with the least total at first, as many starts make a model
        of gigabytes; then with any of two more, of four more, and so on. Where few lie
        below the value, all of them are asked for.
        """
        a = self.wider.arrays
        boats = {one for one in range(a.boats) if not a.boat_fixed[one]} - left_out
        weights = open_weights(a, boats)
        least = max([0, *(one for those, one in floors if those <= boats)])
        step = 1
        while least < value and not self.is_over(boats):
            most = least
            for _ in range(step - 1):
                most = min(next_total(weights, most + 1), value - 1)
            near = most
            for _ in range(FEW):
                near = next_total(weights, near + 1)
            if near >= value:
                most = value - 1
            proven = self.proven(left_out, most, floors)
            if proven > least:
                least = next_total(weights, proven)
                floors.append((frozenset(boats), least))
            if proven <= most:
                break
            step *= 2
        return least

    def proven(self, left_out: set[int], most: int, floors: list[Floor]) -> int:
        """Weighted late days that have no plan below them, of a few at most."""
        known = [one for one in floors if not one[0] & left_out]
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
        left = max(0.0, self.until - time.monotonic())
        if model.draft.variables > MOST_VARIABLES:
            return 0
        limits = Limits(
            left,
            self.effort.workers,
            self.effort.seed,
            self.units,
            self.should_stop,
            race=True,
        )
        result = ask(model, limits)
        if self.units is not None:
            self.units -= result.deterministic
        if result.status == "infeasible":
            return most + 1
        return min((result.bound or 0) - model.standing, most)


def _floors(
    wider: Compilation, order: list[int], late: int, most: int, shared: Shared
) -> list[Floor]:
    """What the first boats come to at least, as far as look-ups tell.

    Of the first of them, of the first two, and so on: a total that leaves some
    operation no start is none. They keep the model small.
    """
    a = wider.arrays
    there = {boat for boat in range(a.boats) if not a.boat_fixed[boat]}
    floors: list[Floor] = []
    least = 0
    for count in range(1, late + 1):
        left_out = set(order[count:])
        boats = frozenset(there - left_out)
        setting = make_setting(wider, None, None, left_out, shared)
        weights = open_weights(a, boats)
        while least <= most and not _has_starts(setting, least, floors):
            least = next_total(weights, least + 1)
        if least > 0:
            floors.append((boats, least))
    return floors


def _has_starts(setting: Setting, most: int, floors: list[Floor]) -> bool:
    """Whether so many late days leave every operation a start."""
    try:
        find_windows(setting, most, floors)
    except NoWay:
        return False
    return True


def _late_ones(a: Arrays, solution: Solution, order: list[int]) -> int:
    """How many of the first boats there are up to the last late one."""
    late = 0
    for place, boat in enumerate(order, 1):
        finish = solution.finish[a.boat_at[boat] : a.boat_at[boat + 1]].max()
        if tardy_days(a, boat, int(finish)) and a.boat_weight[boat]:
            late = place
    return late
