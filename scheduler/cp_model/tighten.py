"""Where the constraint-programming model improves or proves what the search found.

A small book, or new orders around a committed plan, is given to the model whole. A
larger book is improved in windows: a few late boats are planned anew while all others
stand.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from scheduler.compiling.arrays import BY_LAST_FINISH, FAR, FREE, STARTED
from scheduler.cp_model.beside import plan_beside
from scheduler.cp_model.conflict import at_work, explain_clash, stand_still
from scheduler.cp_model.goals import MAKESPAN, TARDINESS
from scheduler.cp_model.growing import FOUND, Grown, grow
from scheduler.cp_model.model import Limits, add_cuts, ask, build_model, solve
from scheduler.cp_model.which_boats import WORST, pick_window
from scheduler.cp_model.windows import NoWay
from scheduler.decoding.decoder import open_boats
from scheduler.decoding.placing import Choices
from scheduler.late_totals import next_bound
from scheduler.naming.names import Memory, name_people
from scheduler.naming.roster import build_roster
from scheduler.naming.settle import Settled, settle
from scheduler.searching.search import Budget, facts_of, search

if TYPE_CHECKING:
    from collections.abc import Sequence

    from scheduler.compiling.arrays import Arrays
    from scheduler.compiling.compile import Compilation
    from scheduler.cp_model.conflict import Cut
    from scheduler.cp_model.model import Model
    from scheduler.cp_model.windows import Floor
    from scheduler.naming.names import Clash
    from scheduler.solution import Solution

WHOLE_MODEL_OPERATIONS = 650  # some 13 boats; beyond, the search needs the time
WINDOW_SECONDS = 3.0
WINDOW_UNITS = 0.6  # of the solver's deterministic time, where that is counted
WINDOW_FAILURES = 4
NEAR_DECODES = 600
BESIDE_TRIES = 8  # at the boats of a clash alone, before all are asked again
BESIDE_SHARE = 0.15  # of what is left, for one of them
GROW_SHARE = 0.85  # of the effort, to plan a small book boat by boat


@dataclass(frozen=True)
class Effort:
    """What the model may spend: seconds, or deterministic time with one worker."""

    seconds: float
    deterministic: float | None
    workers: int
    seed: int


@dataclass(frozen=True)
class Tightened:
    """A plan that is no worse, the best bound on level 1, and what gave the plan."""

    settled: Settled
    bound: int
    method: str
    floors: tuple[Floor, ...] = ()  # what some of the boats come to at least


def free_operations(a: Arrays) -> int:
    """How many operations are left to decide."""
    loose = (a.binding == FREE) | ((a.binding == STARTED) & (a.fixed_finish < 0))
    return int(loose.sum())


def is_small(a: Arrays) -> bool:
    """Whether the whole model is worth its time, and holds for all plans."""
    return bool(a.complete) and 0 < free_operations(a) <= WHOLE_MODEL_OPERATIONS


def tighten(
    compilation: Compilation,
    settled: Settled,
    bound: int,
    effort: Effort,
    should_stop: Callable[[], bool],
) -> Tightened:
    """Improve a named plan by the model, or prove it; never return a worse one."""
    if settled.solution.values[0] <= bound or should_stop() or effort.seconds <= 0:
        return Tightened(settled, bound, "search")
    if is_small(compilation.arrays):
        return _whole(compilation, settled, bound, effort, should_stop)
    if compilation.arrays.goal == BY_LAST_FINISH:
        return Tightened(settled, bound, "search")
    return _windows(compilation, settled, bound, effort, should_stop)


def _whole(
    compilation: Compilation,
    settled: Settled,
    bound: int,
    effort: Effort,
    should_stop: Callable[[], bool],
) -> Tightened:
    """Give the model everything; where names fail, tell it why and ask again.

    A plan that was grown to the bound is first named within that bound: so few late
    days leave few starts. Only where names cost more is the model written wider.
    """
    until = time.monotonic() + effort.seconds
    grown = _grow(compilation, settled, effort, should_stop)
    found = Tightened(
        settled,
        max(bound, grown.bound),
        "search, bound by the constraint model",
        tuple(grown.floors),
    )
    asking = _Asking(compilation, effort, until, should_stop, found, grown.units)
    if grown.solution is not None and grown.solution.values[0] <= found.bound:
        asking.ask_within(grown, grown.solution.values[0], race=True)
    if not asking.is_over():
        asking.ask_within(grown, settled.solution.values[0], race=False)
    return _nearer(compilation, asking.found, asking.unnamed, effort.seed)


class _Asking:
    """A model that is asked again and again until its plan has names."""

    def __init__(
        self,
        compilation: Compilation,
        effort: Effort,
        until: float,
        should_stop: Callable[[], bool],
        found: Tightened,
        units: float,
    ) -> None:
        self.compilation, self.effort, self.until = compilation, effort, until
        self.should_stop, self.found, self.units = should_stop, found, units
        self.roster, self.memory = build_roster(compilation), Memory()
        self.unnamed: Solution | None = None
        self.cuts: list[Cut] = []  # all so far

    def is_over(self) -> bool:
        """Whether nothing is left to gain or to spend."""
        spent = (self.effort.deterministic or FAR) <= self.units
        if spent or _is_proven(self.found):
            return True
        return self.until - time.monotonic() <= 1.0 or self.should_stop()

    def ask_within(self, grown: Grown, most: int, *, race: bool) -> None:
        """Ask for plans of so many late days at most, cut after cut."""
        settled = self.found.settled
        model = _whole_model(self.compilation, settled, grown, most)
        if model is None:
            return
        better, exact, tries = grown.solution, True, BESIDE_TRIES
        while True:
            if better is not None:
                cuts, explained = self._named(model, better)
                exact = exact and explained
                if cuts is None:
                    return
                add_cuts(model, cuts)
                beside = self._beside(grown, better, cuts) if cuts and tries else None
                if beside is not None:
                    better, tries = beside, tries - 1
                    continue
            if self.is_over():
                return
            tries = BESIDE_TRIES
            left = self.until - time.monotonic()
            limits = _limits(self.effort, left, self.units, self.should_stop)
            result = ask(model, replace(limits, race=race))
            self.units += result.deterministic
            if exact and result.status == "infeasible":
                self._raise_bound(most + 1)
            elif exact and result.bound is not None:
                self._raise_bound(min(result.bound, most + 1))
            better = result.solution if result.status in FOUND else None
            value = self.found.settled.solution.values[0]
            if better is None or better.values[0] >= value:
                return

    def _named(self, model: Model, better: Solution) -> tuple[list[Cut] | None, bool]:
        """Keep a plan with names; else cuts, None if there are none, and their worth.

        They are worth something for a bound if each follows from the rules.
        """
        naming = name_people(self.compilation, self.roster, better, self.memory)
        if not naming.clashes:
            named = Settled(better, naming, 0)
            self.found = replace(self.found, settled=named, method="constraint model")
            return [], True
        self.unnamed = better
        cuts, explained = reasons(model, better, naming.clashes)
        return cuts or None, explained

    def _beside(
        self, grown: Grown, better: Solution, cuts: list[Cut]
    ) -> Solution | None:
        """The boats of a clash planned anew beside the others, if that works soon."""
        if level_of(self.compilation.arrays) != TARDINESS or self.is_over():
            return None
        left = (self.until - time.monotonic()) * BESIDE_SHARE
        limits = _limits(self.effort, left, self.units, self.should_stop)
        if limits.deterministic is not None:
            most = limits.deterministic * BESIDE_SHARE
            limits = replace(limits, deterministic=most)
        solution, units = plan_beside(
            self.compilation, better, cuts, limits, self.cuts, grown.shared
        )
        self.cuts += cuts
        self.units += units
        return solution

    def _raise_bound(self, least: int) -> None:
        least = next_bound(self.compilation.arrays, least)
        bound = min(least, self.found.settled.solution.values[0])
        self.found = replace(self.found, bound=max(self.found.bound, bound))


def _is_proven(found: Tightened) -> bool:
    return found.settled.solution.values[0] <= found.bound


def _whole_model(
    compilation: Compilation, settled: Settled, grown: Grown, most: int
) -> Model | None:
    """The model of all boats, with the plan that was grown as its hint.

    That plan may lack names, so that another one of equal value is as good.
    """
    level, hint = level_of(compilation.arrays), settled.solution
    if grown.solution is not None:
        hint = replace(grown.solution, values=WORST)
    at_most = None if grown.solution is None else most
    try:
        return build_model(
            compilation,
            hint=hint,
            most=at_most,
            floors=grown.floors,
            level=level,
            shared=grown.shared,
        )
    except NoWay:
        return None


def _nearer(
    compilation: Compilation, found: Tightened, unnamed: Solution | None, seed: int
) -> Tightened:
    """The plan found, or a better one near one whose people cannot be named."""
    value = found.settled.solution.values
    if unnamed is None or unnamed.values[0] >= value[0]:
        return found
    near = decoded_near(compilation, unnamed, seed)
    if near is None or near.solution.values >= value:
        return found
    return replace(found, settled=near, method="constraint model and search")


def _grow(
    compilation: Compilation,
    settled: Settled,
    effort: Effort,
    should_stop: Callable[[], bool],
) -> Grown:
    """Grow a plan of boats that have due days; else there is none, and no bound."""
    if compilation.arrays.goal == BY_LAST_FINISH:
        return Grown(None, 0, [], 0.0)
    units = effort.deterministic
    own = replace(
        effort,
        seconds=effort.seconds * GROW_SHARE,
        deterministic=None if units is None else units * GROW_SHARE,
    )
    known = settled.solution
    return grow(compilation, known.values[0], own, should_stop, known)


def level_of(a: Arrays) -> int:
    """What the model minimizes for the goal of a problem."""
    return MAKESPAN if a.goal == BY_LAST_FINISH else TARDINESS


def _limits(
    effort: Effort, seconds: float, units: float, should_stop: Callable[[], bool]
) -> Limits:
    most = None if effort.deterministic is None else effort.deterministic - units
    return Limits(seconds, effort.workers, effort.seed, most, should_stop)


def reasons(
    model: Model, solution: Solution, clashes: Sequence[Clash]
) -> tuple[list[Cut], bool]:
    """Cuts against every clash, and whether each follows from the rules.

    Where a clash is not explained, just these starts are forbidden; where none of its
    operations is free, those of the work beside it.
    """
    modes = {op: work.modes for op, work in model.works.items()}
    cuts: list[Cut] = []
    explained = True
    for clash in clashes:
        span = clash.since, clash.until
        own = explain_clash(model.setting, modes, solution, span)
        if not own:
            explained = False
            beside = at_work(model.setting, solution, span)
            own = [
                stand_still(model.setting, solution, clash.operations)
                or stand_still(model.setting, solution, beside)
            ]
        cuts += own
    return [cut for cut in cuts if cut], explained


def decoded_near(
    compilation: Compilation, solution: Solution, seed: int
) -> Settled | None:
    """A named plan near one whose people cannot be named.

    Its starts become delays and its crews choices; a short search goes on from there.
    """
    a = compilation.arrays
    boats = open_boats(a)
    first = np.array(
        [solution.start[a.boat_at[boat] : a.boat_at[boat + 1]].min() for boat in boats]
    )
    later = np.arange(len(boats)) >= a.leading
    order = boats[np.lexsort((boats, first, later))]
    free = a.binding == FREE
    choices = Choices(
        order.astype(np.int32),
        np.where(a.skill >= 0, solution.crew, 0).astype(np.int8),
        np.where(free, solution.start, 0).astype(np.int32),
    )
    facts = facts_of(a)
    found = search(
        a, facts, Budget(None, NEAR_DECODES), seed=seed, workers=1, starts=[choices]
    )
    settled = [settle(compilation, facts, one) for one in found.choices]
    named = [one for one in settled if one is not None]
    return min(named, key=lambda one: one.solution.values, default=None)


def _windows(
    compilation: Compilation,
    settled: Settled,
    bound: int,
    effort: Effort,
    should_stop: Callable[[], bool],
) -> Tightened:
    until = time.monotonic() + effort.seconds
    rng = np.random.default_rng(np.random.SeedSequence(effort.seed))
    best, failures, method = settled, 0, "search"
    roster = build_roster(compilation)
    rounds = None
    if effort.deterministic is not None:
        rounds = max(1, int(effort.deterministic // WINDOW_UNITS))
    while failures < WINDOW_FAILURES and not should_stop():
        left = until - time.monotonic()
        if (rounds is None and left < 1.0) or rounds == 0:
            break
        rounds = None if rounds is None else rounds - 1
        boats = pick_window(compilation.arrays, best.solution, rng)
        if not boats:
            break
        result = solve(
            compilation,
            hint=best.solution,
            free_boats=boats,
            seconds=60.0 if rounds is not None else min(WINDOW_SECONDS, left),
            workers=1 if rounds is not None else effort.workers,
            seed=effort.seed,
            deterministic_limit=WINDOW_UNITS if rounds is not None else None,
            should_stop=should_stop,
        )
        failures += 1
        if result.solution is None or result.solution.values >= best.solution.values:
            continue
        naming = name_people(compilation, roster, result.solution)
        if not naming.clashes:
            best, failures = Settled(result.solution, naming, 0), 0
            method = "search, improved by the constraint model in windows"
    return Tightened(best, bound, method)
