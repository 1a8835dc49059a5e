"""Which windows of overtime to open: tried by planning with them.

First the book is planned in regular time. Where boats are late that overtime might
save, sets of windows are tried, each with a short search that sets out from the plan
so far: all of them, those of each calendar and time of the week, by themselves and with
the best set so far, then fewer and fewer of the best. More is not always better, as
work in hand has to go on in every window that opens. The best set gets the rest of the
budget. A set is only kept if the whole plan, with people named, is better level by
level; so windows that bring nothing on level 1 are closed for the sake of level 2.
"""

from __future__ import annotations

import time
from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Protocol

import numpy as np

from models.errors import NoPlan
from scheduler.answer import build_answer
from scheduler.bounds import bound_with_overtime
from scheduler.compiling.compile import Compilation, compile_problem
from scheduler.cp_model.tighten import Effort, Tightened, is_small, level_of
from scheduler.cp_model.tuning import DECODES_A_UNIT
from scheduler.decoding.decoder import open_boats
from scheduler.decoding.placing import Choices
from scheduler.naming.settle import Settled, settle
from scheduler.overtime import may_open, stands_open
from scheduler.overtime_bound import bound_by_model
from scheduler.searching.search import Budget, Found, Progress, Report, facts_of, search

if TYPE_CHECKING:
    from scheduler.problem import Problem

SHARES = (0.4, 0.2, 0.1)
SHARES_OF_SMALL = (0.84, 0.06, 0.03)
"""Parts of the budget for regular time, for trying sets, and for closing windows again
at the end; planning with the best set gets the rest. Where the constraint model can
prove a plan in regular time, that is worth more than what overtime is mostly good for;
there the rest, and what was not needed, go to a bound that holds for every set. The
model often needs half of the budget and at times most of it, so it may have most.
"""
FEWEST_DECODES, MOST_DECODES, TRIALS = 25, 200, 12
"""Decodes of one trial: so that a budget of work holds about so many trials."""

HOUR = 3600.0  # where the solver's own time is counted
STARTS = 3  # choices that a trial sets out from
COARSEST = 2  # parts of a set that are closed in turn at first


class Find(Protocol):
    """The search for a plan of a compiled problem, with a budget of seconds or work."""

    def __call__(
        self, compilation: Compilation, budget: Budget, starts: Sequence[Choices]
    ) -> tuple[Tightened, Found]:
        """Return the best plan with names, and what the search found."""
        ...


@dataclass(frozen=True)
class Opened:
    """A set of open windows with a named plan, and what that is worth by level."""

    compilation: Compilation
    settled: Settled
    choices: tuple[Choices, ...]
    worth: tuple[float, ...]
    used: frozenset[str]  # windows in which somebody works
    method: str  # what gave the plan


@dataclass(frozen=True)
class Chosen:
    """The set that was chosen, its plan, and the first search in regular time.

    The bound of `done` holds for every set.
    """

    compilation: Compilation
    done: Tightened
    found: Found


def plan_with_overtime(
    compilation: Compilation,
    budget: Budget,
    find: Find,
    *,
    exact: bool = True,
    seed: int = 0,
    workers: int = 2,
    should_stop: Callable[[], bool] = lambda: False,
) -> Chosen:
    """Plan in regular time, and with windows open where that makes fewer late days.

    Raises
    ------
    NoPlan
        As `find` on the compilation, in which no window is open but those that stand.
    """
    began = time.monotonic()
    least = bound_with_overtime(compilation) or 0
    small = is_small(compilation.arrays)
    regular, trying, closing = SHARES_OF_SMALL if small else SHARES
    rest = 1 - regular - trying - closing
    done, found = find(compilation, _share(budget, regular), ())
    base = best = _opened(compilation, done.settled, found.choices, done.method)
    if small and exact and base.worth[0] > least and not should_stop():
        effort = _effort(compilation, budget, rest, began, (seed, workers))
        least = max(least, bound_by_model(compilation, done, effort, should_stop))
    if base.worth[0] > least:
        trials = _Trials(base, _share(budget, trying), seed, workers, should_stop)
        best = trials.best_set()
    if not should_stop() and not (small and best is base):
        again = _planned_on(best, find, _share(budget, rest))
        best = min(best, again, key=lambda one: one.worth)
    trials = _Trials(best, _share(budget, closing), seed, workers, should_stop)
    best = trials.fewer_windows()
    return Chosen(best.compilation, Tightened(best.settled, least, best.method), found)


def _effort(
    compilation: Compilation,
    budget: Budget,
    share: float,
    began: float,
    how: tuple[int, int],
) -> Effort:
    """What may be spent on the bound: of seconds, all but what choosing takes.

    How is the seed and how many threads; a budget of work has one.
    """
    seed, workers = how
    if budget.work is not None:
        units = budget.work * share / DECODES_A_UNIT[level_of(compilation.arrays)]
        return Effort(HOUR, units, 1, seed)
    kept = sum(SHARES_OF_SMALL[1:])
    left = (1 - kept) * (budget.seconds or 0.0) - (time.monotonic() - began)
    return Effort(max(1.0, left), None, workers, seed)


def _planned_on(best: Opened, find: Find, budget: Budget) -> Opened:
    """Plan with the windows of a set for longer; the set as it is where that fails."""
    try:
        done, found = find(best.compilation, budget, best.choices)
    except NoPlan:  # the search's orders have people who cannot be named
        return best
    return _opened(best.compilation, done.settled, found.choices, done.method)


def report_at_most(report: Report | None, least: int | None) -> Report | None:
    """Report no bound that holds for one set of windows only."""
    if report is None or least is None:
        return report

    def told(progress: Progress) -> None:
        report(replace(progress, bound=min(progress.bound, least)))

    return told


def _share(budget: Budget, share: float) -> Budget:
    if budget.work is not None:
        return Budget(None, max(1, int(budget.work * share)))
    return Budget((budget.seconds or 0.0) * share)


def _opened(
    compilation: Compilation,
    settled: Settled,
    choices: Sequence[Choices],
    method: str,
) -> Opened:
    """Look at a named plan level by level."""
    answer = build_answer(compilation, settled.solution, settled.naming, bound=None)
    return Opened(
        compilation=compilation,
        settled=settled,
        choices=(_choices_of(compilation, settled), *choices[: STARTS - 1]),
        worth=tuple(level.value for level in answer.levels),
        used=frozenset(row.window for row in answer.overtime),
        method=method,
    )


def _choices_of(compilation: Compilation, settled: Settled) -> Choices:
    """The boats of a plan in order of their starts, with its crews."""
    a, solution = compilation.arrays, settled.solution
    boats = open_boats(a)
    first = [solution.start[a.boat_at[b] : a.boat_at[b + 1]].min() for b in boats]
    later = np.arange(len(boats)) >= a.leading
    return Choices(
        boats[np.lexsort((boats, first, later))].astype(np.int32),
        np.where(a.skill >= 0, solution.crew, 0).astype(np.int8),
        np.zeros(len(a.boat_of), np.int32),
    )


class _Trials:
    """Short searches with one set of windows after the other, within a budget."""

    def __init__(
        self,
        base: Opened,
        budget: Budget,
        seed: int,
        workers: int,
        should_stop: Callable[[], bool],
    ) -> None:
        self.base = self.best = base
        self.budget, self.seed, self.workers = budget, seed, workers
        self.should_stop = should_stop
        self.standing = stands_open(base.compilation.stated)
        self.tried = {base.compilation.opened}
        self.decodes, self.turns = 0, MOST_DECODES
        if budget.work is not None:
            self.turns = max(FEWEST_DECODES, min(MOST_DECODES, budget.work // TRIALS))
        self.until = time.monotonic() + (budget.seconds or 0.0)

    def best_set(self) -> Opened:
        """Open many windows, then close those of the best set that bring nothing."""
        stated = self.base.compilation.stated
        every, *groups = _groups(stated)
        self._try(self.standing | every)
        for windows in groups:
            self._try(self.standing | windows)
            self._try(self.best.compilation.opened | windows)
        if self.best is self.base:
            for one in may_open(stated):
                self._try(self.standing | {one.id})
        return self.fewer_windows()

    def fewer_windows(self) -> Opened:
        """Close windows of the best set that bring nothing: parts of it, then each."""
        parts = COARSEST
        while not self._spent():
            left = sorted(self.best.used - self.standing)
            if not left:
                break
            self._close(left, min(parts, len(left)))
            if parts >= len(left):
                break
            parts *= 2
        return self.best

    def _close(self, left: list[str], parts: int) -> None:
        """Close each part of the windows in turn, and keep shut what is not missed."""
        self._try(self.standing | frozenset(left))
        for part in np.array_split(left, parts):
            still = self.best.used - self.standing
            self._try(self.standing | (still - {str(one) for one in part}))

    def _spent(self) -> bool:
        if self.should_stop():
            return True
        if self.budget.work is not None:
            return self.decodes + self.turns > self.budget.work
        return time.monotonic() >= self.until

    def _try(self, windows: frozenset[str]) -> None:
        """Plan with a set of windows; the best plan so far stays in mind."""
        if windows in self.tried or self._spent():
            return
        self.tried.add(windows)
        before = self.base.compilation
        compilation = compile_problem(before.stated, before.arrays.goal, windows)
        a = compilation.arrays
        try:
            facts = facts_of(a)
        except NoPlan:  # what stands does not go together with these windows
            return
        starts = [_fitted(one, compilation) for one in self._starts()]
        found = search(
            a,
            facts,
            Budget(None, self.turns),
            seed=self.seed,
            workers=self.workers,
            starts=starts,
            should_stop=self.should_stop,
        )
        self.decodes += max(found.decodes, self.turns)
        for choices, values in list(zip(found.choices, found.values, strict=True)):
            if values[0] > self.best.worth[0]:
                break
            settled = settle(compilation, facts, choices)
            if settled is not None:
                opened = _opened(compilation, settled, found.choices, "search")
                self.best = min(self.best, opened, key=lambda one: one.worth)
                break

    def _starts(self) -> list[Choices]:
        known = [*self.best.choices]
        if self.best is not self.base:
            known += self.base.choices[:1]
        return known


def _fitted(choices: Choices, compilation: Compilation) -> Choices:
    """Choices with no crew smaller than one-go work needs in these windows."""
    a = compilation.arrays
    least = np.where(choices.crew > 0, a.crew_min, 0)
    crew = np.maximum(choices.crew, least).astype(np.int8)
    return Choices(choices.order.copy(), crew, choices.delay.copy())


def _groups(problem: Problem) -> Iterator[frozenset[str]]:
    """All windows, then those of each calendar and time of the week."""
    windows = may_open(problem)
    yield frozenset(one.id for one in windows)
    groups: dict[tuple[str, int, str], set[str]] = defaultdict(set)
    for one in windows:
        local = problem.axis.local(one.window[0])
        key = one.calendar, local.isoweekday(), f"{local:%H:%M}"
        groups[key].add(one.id)
    yield from (frozenset(groups[key]) for key in sorted(groups))
