"""The constraint model of the whole problem, or of some boats around the others.

States the rules of `scheduler.checker` exactly, people counted by subset of skills
(who they are is `scheduler.naming.names`'s business). Starts are indices on calendars,
never instants with breaks as obstacles. Without a hint there is no limit on
tardiness, and the model is many times larger.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Collection, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from scheduler.cp_model.conflict import Cut, Term
from scheduler.cp_model.crews import add_crews, add_stations
from scheduler.cp_model.draft import Draft, negated
from scheduler.cp_model.goals import (
    MAKESPAN,
    TARDINESS,
    WORK_IN_PROCESS,
    add_makespan,
    add_tardiness,
    add_work_in_process,
    free_tardiness,
    standing_tardiness,
    standing_work_in_process,
)
from scheduler.cp_model.holds import Holds, add_holds, give_slots
from scheduler.cp_model.openings import add_openings
from scheduler.cp_model.setting import Setting, Shared, make_setting
from scheduler.cp_model.setups import add_setups
from scheduler.cp_model.tuning import tune
from scheduler.cp_model.waits import add_waits
from scheduler.cp_model.windows import Floor, NoWay, Windows, find_windows
from scheduler.cp_model.work import Work, add_clashes, add_work
from scheduler.decoding.decoder import new_state
from scheduler.solution import Solution, snapshot

if TYPE_CHECKING:
    from scheduler.compiling.compile import Compilation

POLL_SECONDS = 0.05
NEXT_SEED = 1000  # between the seeds of solves that race each other
SOLVED = ("optimal", "feasible")
DECIDED = ("optimal", "infeasible")


@dataclass(frozen=True)
class CpResult:
    """What a solve came to.

    `bound` is a lower bound on what was minimized (weighted tardy days at level 0),
    for the whole problem with people counted by subset; None for a window. `status`
    is optimal, feasible, infeasible or unknown.
    """

    solution: Solution | None
    bound: int | None
    proven: bool
    status: str
    seconds: float
    deterministic: float = 0.0  # the solver's own measure of its work


@dataclass
class Model:
    """A written model with the way back to the problem."""

    draft: Draft
    setting: Setting
    windows: Windows
    works: dict[int, Work]
    holds: Holds
    goal: Any
    standing: int  # what boats with nothing left to decide add to the goal
    level: int
    whole: bool  # all boats are to be planned


@dataclass(frozen=True)
class Limits:
    """What one solve may spend: seconds, threads and, to be repeatable, its own time.

    `should_stop` is asked now and then; the best plan so far is returned. In a race
    each thread solves the model in a way of its own, and the first to end decides: for
    a model of which any plan will do, as threads of one solve then mostly idle. Another
    `attempt` at such a model goes other ways again.
    """

    seconds: float
    workers: int = 2
    seed: int = 0
    deterministic: float | None = None
    should_stop: Callable[[], bool] | None = None
    race: bool = False
    attempt: int = 0


def solve(
    compilation: Compilation,
    *,
    hint: Solution | None,
    free_boats: Sequence[int] | None = None,
    seconds: float,
    workers: int = 2,
    seed: int = 0,
    deterministic_limit: float | None = None,
    level: int = TARDINESS,
    should_stop: Callable[[], bool] | None = None,
) -> CpResult:
    """Look for a better plan and for a proof that there is none.

    Parameters
    ----------
    hint : Solution, optional
        A plan that keeps every rule; returned itself if nothing better is found.
    free_boats : sequence of int, optional
        Boats to plan anew; all others stay as in the hint. All boats if not given.
    level : int
        0 minimizes weighted tardy days; 1 work in process at no more tardy days than
        the hint's; 2 the last finish.
    """
    began = time.monotonic()
    try:
        model = build_model(compilation, hint=hint, free_boats=free_boats, level=level)
    except NoWay:
        spent = time.monotonic() - began
        return CpResult(hint, None, False, "infeasible", spent)
    left = max(0.01, seconds - (time.monotonic() - began))
    return ask(model, Limits(left, workers, seed, deterministic_limit, should_stop))


def ask(model: Model, limits: Limits, rivals: Sequence[Model] = ()) -> CpResult:
    """Solve a written model; it may be asked again after cuts were added.

    Rivals are the same model with hints of other plans: threads of a race begin from
    each in turn.
    """
    began = time.monotonic()
    whole, hint = model.whole, model.setting.hint
    solvers = _solvers(model, limits)
    starts = [model, *rivals]
    runs = [(one, starts[k % len(starts)]) for k, one in enumerate(solvers)]
    ended, solver, model = _run(runs, limits.should_stop)
    status = ended if ended in (*SOLVED, *DECIDED) else "unknown"
    found = hint
    if status in SOLVED:
        found = _better(model, read_solution(model, solver), hint)
        _begin_from(model, solver)
    bound = None
    if whole and status != "infeasible":
        bound = int(np.ceil(solver.best_objective_bound - 1e-6)) + model.standing
    proven = whole and status == "optimal"
    spent = time.monotonic() - began
    units = sum(float(one.response_proto.deterministic_time) for one in solvers)
    return CpResult(found, bound, proven, status, spent, units)


def build_model(
    compilation: Compilation,
    *,
    hint: Solution | None,
    free_boats: Sequence[int] | None = None,
    left_out: Collection[int] = (),
    most: int | None = None,
    floors: Sequence[Floor] = (),
    level: int = TARDINESS,
    shared: Shared | None = None,
) -> Model:
    """Write the model.

    Parameters
    ----------
    left_out : collection of int
        Boats to plan as if they had not been ordered. Whatever remains of a plan
        without them keeps every rule, so that a bound of the others holds for all.
    most : int, optional
        What the weighted tardy days of the free boats may come to; that of the hint
        if not given.
    floors : sequence of pairs, optional
        Boats, all of them to be planned, and what they are proven to come to at least.
    shared : Shared, optional
        What other models of the same problem have looked up.

    Raises
    ------
    NoWay
        If no plan is possible within that tardiness.
    """
    setting = make_setting(compilation, hint, free_boats, left_out, shared)
    if most is None and hint is not None and level != MAKESPAN:
        most = free_tardiness(setting, hint)
    windows = find_windows(setting, most, floors)
    draft = Draft()
    works = add_work(draft, setting, windows)
    add_waits(draft, setting, works)
    add_crews(draft, setting, works)
    add_stations(draft, setting, works)
    add_clashes(draft, setting, works)
    add_setups(draft, setting, works)
    add_openings(draft, setting, works)
    holds = add_holds(draft, setting, works)
    standing = 0
    if level == MAKESPAN:
        goal = add_makespan(draft, setting, works)
    else:
        goal = add_tardiness(draft, setting, windows, works, (most, floors))
        standing = standing_tardiness(setting)
    if level == WORK_IN_PROCESS:
        goal = add_work_in_process(draft, setting, works, holds)
        standing = standing_work_in_process(setting, holds)
    draft.model.minimize(goal)
    whole = free_boats is None
    return Model(draft, setting, windows, works, holds, goal, standing, level, whole)


def _begin_from(model: Model, solver: Any) -> None:
    """Let the next solve begin from the last plan, so that little has to change."""
    written: Any = model.draft.model
    written.clear_hints()
    for number, value in enumerate(solver.response_proto.solution):
        written.add_hint(written.get_int_var_from_proto_index(number), value)


def add_cuts(model: Model, cuts: Sequence[Cut]) -> None:
    """Keep the terms of each cut from holding together."""
    for cut in cuts:
        clause = [
            way for term in cut for way in _denied(model.draft, model.works, term)
        ]
        if not any(way is True for way in clause):
            model.draft.model.add_bool_or(clause)


def _denied(draft: Draft, works: dict[int, Work], term: Term) -> list[Any]:
    """Ways in which a term does not hold: another crew, an earlier or a later start."""
    work = works.get(term.op)
    if work is None:  # stands where the term has it
        return []
    modes = [mode.length for mode in work.modes]
    if term.length not in modes:
        return [True]
    at = work.start.at
    ways = [
        negated(work.there),
        negated(work.chosen[modes.index(term.length)]),
        negated(draft.reached(at, term.first)),
        draft.reached(at, term.last + 1),
    ]
    return [way for way in ways if way is not False]


def _solvers(model: Model, limits: Limits) -> list[Any]:
    """One solver with all threads, or one for each thread of a race."""
    threads, count = limits.workers, 1
    if limits.race:
        threads, count = 1, limits.workers
    from ortools.sat.python import cp_model

    solvers = []
    for number in range(count):
        solver = cp_model.CpSolver()
        way = limits.attempt * count + number if limits.race else 0
        tune(solver.parameters, threads, model.level, whole=model.whole, way=way)
        solver.parameters.random_seed = limits.seed + NEXT_SEED * way
        solver.parameters.catch_sigint_signal = False  # it is no thread of Python's
        solver.parameters.max_time_in_seconds = limits.seconds
        if limits.deterministic is not None:
            solver.parameters.max_deterministic_time = limits.deterministic
        solvers.append(solver)
    return solvers


def _run(
    runs: list[tuple[Any, Model]], should_stop: Callable[[], bool] | None
) -> tuple[str, Any, Model]:
    """Run solvers until one is done; a watcher stops them then, or where asked to."""
    over, decided = threading.Event(), threading.Event()
    ended: list[tuple[str, Any, Model]] = []

    def watch() -> None:
        while not over.wait(POLL_SECONDS):
            if decided.is_set() or (should_stop is not None and should_stop()):
                for solver, _ in runs:  # again and again: one may not have begun
                    solver.stop_search()

    def run(one: tuple[Any, Model]) -> None:
        solver, model = one
        status = solver.status_name(solver.solve(model.draft.model)).lower()
        ended.append((status, solver, model))
        if status in DECIDED:
            decided.set()

    watcher = threading.Thread(target=watch, daemon=True)
    watcher.start()
    try:
        with ThreadPoolExecutor(len(runs)) as pool:
            try:
                list(pool.map(run, runs))
            except BaseException:
                decided.set()
                raise
    finally:
        over.set()
        watcher.join()
    return min(ended, key=lambda one: (one[0] not in DECIDED, one[0] not in SOLVED))


def _better(model: Model, found: Solution, hint: Solution | None) -> Solution:
    if hint is None:
        return found
    if model.level == MAKESPAN:
        boats = model.setting.a.boat_of < model.setting.a.boats
        return found if found.finish[boats].max() < hint.finish[boats].max() else hint
    places = (0, 2) if model.level == WORK_IN_PROCESS else (0,)
    new = [found.values[place] for place in places]
    old = [hint.values[place] for place in places]
    return found if new < old else hint


def _is_true(solver: Any, literal: Any) -> bool:
    return literal is True or bool(solver.value(literal))


def read_solution(model: Model, solver: Any) -> Solution:
    """Turn the solver's values into a plan, slots included."""
    setting, a = model.setting, model.setting.a
    state = new_state(a)
    for name, source in (
        ("start", setting.start),
        ("finish", setting.finish),
        ("crew", setting.crew),
        ("begin", setting.index),
        ("length", setting.length),
    ):
        getattr(state, name)[:] = source
    for op, work in model.works.items():
        if not _is_true(solver, work.there):
            continue  # nothing of a service that is not needed
        chosen = [_is_true(solver, literal) for literal in work.chosen]
        mode = work.modes[chosen.index(True)]
        index = int(solver.value(work.start.at.expr))
        ticks = work.job.axis.ticks
        state.begin[op] = index if mode.length else 0
        state.length[op] = mode.length
        state.crew[op] = mode.crew
        begun = work.job.begun
        state.start[op] = ticks[index] if begun is None else begun
        last = int(ticks[index + mode.length - 1]) + 1
        state.finish[op] = last if mode.length else ticks[index]
    spans, pool_of = {}, {}
    for stay in model.holds.stays:
        if not _is_true(solver, stay.there):
            continue
        first, last_op = a.hold_from[stay.hold], a.hold_to[stay.hold]
        end = state.finish if a.hold_to_end[stay.hold] else state.start
        spans[stay.hold] = int(state.start[first]), int(end[last_op])
        pool_of[stay.hold] = next(
            pool for pool, literal in stay.presence.items() if _is_true(solver, literal)
        )
    slots = give_slots(model.holds, spans, pool_of)
    spans |= {hold: span for hold, (_, span) in model.holds.standing.items()}
    state.hold_slot[:] = -1
    by_slot = sorted((slots[hold], span, hold) for hold, span in spans.items())
    for slot, (begin, end_tick), hold in by_slot:
        state.hold_slot[hold] = slot
        state.hold_start[hold] = begin
        place = state.taken_count[slot]
        state.taken_from[slot, place] = begin
        state.taken_to[slot, place] = end_tick
        state.taken_by[slot, place] = hold
        state.taken_count[slot] += 1
    return snapshot(a, state)
