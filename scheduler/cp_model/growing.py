"""Plan a small book boat by boat: each next one beside all that came before it.

Boats that are due first are planned first, as if the others had not been ordered. What
they come to at least is a bound for the whole book, because a plan without some of its
boats still keeps every rule: people, stations, molds and places are only asked for
less, set-ups keep the triangle inequality, and a mold may be serviced sooner than it
must. The next boat is put in beside the plan of those before it. Where that makes more
late days than must be, a plan of all so far is looked for that has no more than the
bound: so few leave each operation few starts, and the model is small. Where none is
found, the boat is planned anew with one or two others at a time, the rest where they
are, and then all of them at once. While those so far are as late as the whole known
plan, no more are added: that could not lead to a better one.
"""

from __future__ import annotations

import time
from dataclasses import dataclass, replace
from itertools import combinations
from typing import TYPE_CHECKING

import numpy as np

from scheduler.bounds import alone_tardiness
from scheduler.cp_model.model import Limits, ask, build_model
from scheduler.cp_model.setting import share
from scheduler.cp_model.which_boats import WORST, boats_without_facts, without_boats
from scheduler.cp_model.windows import NoWay
from scheduler.decoding.decoder import tardy_days
from scheduler.late_totals import next_bound, next_total, open_weights

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from scheduler.compiling.compile import Compilation
    from scheduler.cp_model.model import CpResult, Model
    from scheduler.cp_model.setting import Shared
    from scheduler.cp_model.tighten import Effort
    from scheduler.cp_model.windows import Floor
    from scheduler.solution import Solution

KEPT_SHARE = 0.08
"""Of the whole effort, kept for each boat that is still to be added around boats that
stand: there a model takes so long to write that the last ones would get nothing."""

LEAST_SHARE = 0.04  # of the whole effort: less is not worth writing such a model for
NO_LATER_SHARE = 0.06  # of what is left, to put it in as if it were alone
PUT_IN_SHARE = 0.25  # of what is left, to put one boat in beside the others
AIM_SHARE = 0.35  # of what is to spare, to look for a plan as good as the bound
LAST_AIM_SHARE = 0.4  # the same where no boat is missing any more
ANEW_SHARE = 0.25  # of what is to spare, to plan all boats so far anew
LAST_SHARE = 0.35  # the same where no boat is missing any more
PROOF_SHARE = 0.7  # the same where boats stand and these are as late as is known
MEND_SHARE = 0.12  # of what is to spare, to plan a few boats anew beside the others
MEND_UNTIL = 0.3  # of what is to spare, for all sets of so many boats
FEW = 2  # boats that are planned anew together at first, later one more
ATTEMPTS = 4
"""Attempts at all boats, each in ways of its own: what one takes varies widely."""

LOOSE = 4  # times the known value that a boat may be late where it is put in
WRITING = 0.0005  # of the solver's units, to write the model of one operation
FOUND = ("optimal", "feasible")


@dataclass(frozen=True)
class Grown:
    """A better plan of all boats, if one came of it, and a bound on level 1.

    People are counted by subset, so that they may not all find names.
    """

    solution: Solution | None
    bound: int
    floors: list[Floor]  # of the boats so far, each time one was added
    units: float  # of the solver's own measure of its work, writing models included
    shared: Shared | None = None  # what its models looked up


def grow(
    compilation: Compilation,
    value: int,
    effort: Effort,
    should_stop: Callable[[], bool],
    known: Solution | None = None,
) -> Grown:
    """Plan the boats in the order of their due days.

    Parameters
    ----------
    value : int
        Level 1 of a known plan; only better ones are looked for.
    effort : Effort
        What to spend at most.
    known : Solution, optional
        That plan, to begin from it, too, where all boats are planned at once.
    """
    return _Growing(compilation, value, effort, should_stop, known).grow()


class _Growing:
    """The boats so far, their plan and what all boats come to at least."""

    def __init__(
        self,
        compilation: Compilation,
        value: int,
        effort: Effort,
        should_stop: Callable[[], bool],
        known: Solution | None,
    ) -> None:
        a = compilation.arrays
        self.compilation = compilation
        self.effort = effort
        self.should_stop = should_stop
        self.until = time.monotonic() + effort.seconds
        self.units = 0.0
        self.value = value
        self.known = known
        self.shared = share(compilation)
        self.alone = alone_tardiness(a)
        self.bound = sum(self.alone)
        stands = np.flatnonzero(a.boat_fixed[: a.boats] != 0).tolist()
        self.given = sum(self.alone[boat] for boat in stands)
        self.kept, self.least = (KEPT_SHARE, LEAST_SHARE) if stands else (0.0, 0.0)
        self.floors: list[Floor] = []
        self.plan: Solution | None = None
        self.order = boats_without_facts(a)
        self.missing = set(self.order)  # boats still to be added
        self.lacking: set[int] = set()  # boats that were added and the plan has not

    def grow(self) -> Grown:
        """Add boat after boat; a better plan of all boats, and what is known."""
        for boat in self.order:
            if self.is_over():
                break
            self.add(boat)
        plan = None if self.missing or self._late() >= self.value else self.plan
        bound = min(self.value, self.bound)
        return Grown(plan, bound, self.floors, self.units, self.shared)

    def is_closed(self) -> bool:
        """Whether no plan can be better than the known one."""
        return self.bound >= self.value

    def is_over(self) -> bool:
        """Whether nothing is left to gain or to spend."""
        return self.is_closed() or self._left() <= 1.0 or self.should_stop()

    def add(self, boat: int) -> None:
        """Plan one more boat with all before it."""
        self.missing.discard(boat)
        self.lacking.add(boat)
        others = self._others()
        before = self.plan.values[0] if self.plan else 0
        if self._put_in(self.value - 1 - others) and self._late() > before:
            self._aim(others, 0)
            self._mend({boat}, others, FEW)
        for attempt in range(ATTEMPTS):
            if self._has_enough(others) or (attempt > 1 and not self._is_last()):
                break
            if attempt:
                self._mend({boat}, others, FEW + attempt)
            if attempt or self._is_last() or self.plan is None:
                self._aim(others, attempt + 1)
            if not attempt or self._is_last():
                self._plan_anew(others, attempt)

    def _late(self) -> int:
        """Weighted late days of the plan so far."""
        return self.plan.values[0] if self.plan and not self.lacking else WORST[0]

    def _is_last(self) -> bool:
        """Whether no boat is to be added: all are there, or it would gain nothing."""
        if self.lacking or not self.missing:
            return not self.missing
        return self._late() + self._others() >= self.value

    def _others(self) -> int:
        """What boats still to be added come to alone."""
        return sum(self.alone[other] for other in self.missing)

    def _is_least(self, others: int) -> bool:
        """Whether no plan of the boats so far can have fewer late days."""
        return self._late() + others <= self.bound

    def _has_enough(self, others: int) -> bool:
        """Whether the boats so far are planned as well as may be, or had their turn."""
        if self.is_over() or self._is_least(others):
            return True
        return self._to_spare() < self.least

    def _aim(self, others: int, attempt: int) -> None:
        """Look for a plan of all boats so far that is as good as the bound.

        A bound that leaves some operation no start at all is raised first.
        """
        share = LAST_AIM_SHARE if self._is_last() else AIM_SHARE
        asked = False
        while not asked and not self._has_enough(others):
            most = self.bound - self.given - others
            spend = self._to_spare() * share
            asked = self._plan_all(spend, most, others, attempt, race=True)

    def _plan_anew(self, others: int, attempt: int) -> None:
        """Plan all boats so far at once; the others come to so much at least."""
        if self._has_enough(others):
            return
        most = min(self.value - 1 - others, self._late())
        share = LAST_SHARE if self._is_last() else ANEW_SHARE
        if self.kept and self._late() + others == self.value:
            share = PROOF_SHARE
        self._plan_all(self._to_spare() * share, most, others, attempt)

    def _plan_all(
        self, share: float, most: int, others: int, attempt: int, *, race: bool = False
    ) -> bool:
        """Plan all boats so far with so many late days at most, or raise the bound.

        Says whether that took a model.
        """
        result = self._ask(share, None, most, attempt, race=race)
        least = most + 1  # of those that do not stand
        if result is not None and result.status != "infeasible":
            least = min((result.bound or 0) - self.given, most + 1)
        a = self.compilation.arrays
        least = next_total(open_weights(a, self._open_boats()), least)
        self.bound = max(self.bound, next_bound(a, least + self.given + others))
        if least > 0:
            self.floors.append((self._open_boats(), least))
        self._keep(result)
        return result is not None

    def _open_boats(self) -> frozenset[int]:
        """The boats so far of which something is left to decide."""
        a = self.compilation.arrays
        boats = np.flatnonzero(a.boat_fixed[: a.boats] == 0).tolist()
        return frozenset(boats) - self.missing

    def _mend(self, moved: set[int], others: int, count: int) -> None:
        """Plan a few boats anew beside the rest, as long as that makes fewer late.

        Only sets with a late boat and one that was moved: the others were tried.
        """
        until = self._share_left() - self._to_spare() * MEND_UNTIL
        tried: set[tuple[int, ...]] = set()
        while not self.lacking and self._share_left() > until:
            if self._has_enough(others):
                return
            chosen = next(self._sets(moved, tried, count), None)
            if chosen is None or self.should_stop():
                return
            tried.add(chosen)
            if self._plan_some(chosen):
                moved |= set(chosen)
                tried = {chosen}

    def _sets(
        self, moved: set[int], tried: set[tuple[int, ...]], count: int
    ) -> Iterator[tuple[int, ...]]:
        """Sets of a few boats to be planned anew, those due close together first."""
        there = [boat for boat in self.order if boat not in self.missing]
        late = {boat for boat in there if self._late_of(boat) > 0}
        places = combinations(range(len(there)), count)
        for own in sorted(places, key=lambda own: (own[-1] - own[0], own)):
            boats = tuple(there[place] for place in own)
            if late & set(boats) and moved & set(boats) and boats not in tried:
                yield boats

    def _late_of(self, boat: int) -> int:
        """Weighted late days of one boat of the plan."""
        a = self.compilation.arrays
        finish = self.plan.finish if self.plan else np.zeros(0, np.int32)
        last = int(finish[a.boat_at[boat] : a.boat_at[boat + 1]].max(initial=0))
        return int(a.boat_weight[boat]) * tardy_days(a, boat, last)

    def _plan_some(self, boats: tuple[int, ...]) -> bool:
        """Plan some boats anew beside the others; whether fewer days are late."""
        late = self._late()
        most = sum(self._late_of(boat) for boat in boats) - 1
        self._keep(
            self._ask(self._to_spare() * MEND_SHARE, [*boats, *self._services()], most)
        )
        return self._late() < late

    def _services(self) -> range:
        """Services of molds, which are planned with whatever boats are."""
        a = self.compilation.arrays
        return range(a.boats, len(a.boat_due))

    def _put_in(self, most: int) -> bool:
        """Put those that the plan lacks in, the others where they are; if it works.

        First with no more late days than they have alone, which leaves few starts.
        """
        if self.plan is None:
            return False
        before = self.plan.values[0]
        boats = [*sorted(self.lacking), *self._services()]
        least = sum(self.alone[boat] for boat in self.lacking)
        for allowed, part in (
            (least, NO_LATER_SHARE),
            (most - before, PUT_IN_SHARE),
            (LOOSE * self.value, PUT_IN_SHARE),
        ):
            if self._keep(self._ask(part * self._share_left(), boats, allowed)):
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
        attempt: int = 0,
        *,
        race: bool = False,
    ) -> CpResult | None:
        """Ask for a plan of the boats so far; None if there is none.

        `share` is of the whole effort.
        """
        hint = self.plan
        if hint is not None and self.lacking:
            away = self.lacking | self.missing
            hint = without_boats(self.compilation.arrays, hint, away)
        seconds, units = self.effort.seconds * share, None
        if self.effort.deterministic is not None:
            units = self.effort.deterministic * share
        hints = [hint]
        last = not self.missing and not self.kept
        if race and self.known and last and self.effort.workers > 1:
            hints.append(replace(self.known, values=WORST))
        try:
            models = [self._model(one, boats, most) for one in hints]
        except NoWay:
            return None
        limits = Limits(
            seconds,
            self.effort.workers,
            self.effort.seed + attempt,
            units,
            self.should_stop,
            race,
            attempt,
        )
        result = ask(models[0], limits, models[1:])
        self.units += result.deterministic
        return result

    def _model(
        self, hint: Solution | None, boats: list[int] | None, most: int
    ) -> Model:
        """Write the model of the boats so far, or of some beside the others."""
        self.units += WRITING * self._operations()
        return build_model(
            self.compilation,
            hint=hint,
            free_boats=boats,
            left_out=self.missing,
            most=most,
            floors=self._floors_so_far() if boats is None else (),
            shared=self.shared,
        )

    def _operations(self) -> int:
        """Operations of the boats so far: what a model has to be written for."""
        at = self.compilation.arrays.boat_at
        so_far = [boat for boat in self.order if boat not in self.missing]
        return int(sum(at[boat + 1] - at[boat] for boat in so_far))

    def _floors_so_far(self) -> list[Floor]:
        """Floors of boats that are all there."""
        return [one for one in self.floors if not one[0] & self.missing]

    def _to_spare(self) -> float:
        """Share of the whole effort that is not kept for boats still to be added."""
        kept = 0.0 if self._is_last() else self.kept * len(self.missing)
        return self._share_left() - kept

    def _share_left(self) -> float:
        """How much of the whole effort is left."""
        units = self.effort.deterministic
        if units is not None:
            return max(0.0, 1 - self.units / units) if units else 0.0
        return max(0.0, self._left() / self.effort.seconds)

    def _left(self) -> float:
        most = self.effort.deterministic
        if most is not None and most <= self.units:
            return 0.0
        return self.until - time.monotonic()
