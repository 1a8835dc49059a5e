"""Bond windows that what was done has broken, drawn on top of a random problem.

The first step of some orders is done, the clock is set some days later, and the window
after it is lost or not: where it is, its re-preparation is put in, as a book would get
it. `hard` says what the book would be without one.
"""

from __future__ import annotations

from dataclasses import replace
from random import Random

from scheduler.building.facts import lost_windows
from scheduler.problem import Committed, Operation, Part, Problem, Wait


def hard(problem: Problem, seed: int) -> Problem:
    """Let the first step of some orders be done, a window open behind it."""
    random = Random(seed)
    taken: set[str] = set()
    begun: dict[str, Committed] = {}
    waits = {one.id: one for one in problem.waits}
    for order in problem.orders:
        own = [one for one in problem.operations if one.order == order.order]
        window = _window(own, problem, random)
        done = None if window is None else _done(problem, own[0], taken)
        if window is not None and done is not None and random.random() < 0.8:
            begun[own[0].id] = done
            waits[window.id] = window
    day = problem.axis.ticks_per_day
    last = max((one.finish or 0 for one in begun.values()), default=0)
    now = 0 if not begun else (last // day + random.choice((1, 1, 2, 3, 4))) * day
    operations = tuple(
        one if one.id in begun else replace(one, earliest=max(one.earliest, now))
        for one in problem.operations
    )
    return replace(
        problem,
        now=now,
        operations=operations,
        waits=tuple(waits.values()),
        committed=tuple(begun.values()),
    )


def re_preparation(problem: Problem, seed: int) -> Problem:
    """Put a re-preparation into each window that has been lost."""
    problem = hard(problem, seed)
    random = Random(seed + 1)
    for wait in lost_windows(problem):
        problem = _repaired(problem, wait, random)
    return problem


def _window(own: list[Operation], problem: Problem, random: Random) -> Wait | None:
    """The one window behind the first step of an order, made if there is none."""
    behind = [one for one in problem.waits if one.before == own[0].id]
    plain = [
        one
        for one in behind
        if (one.before_of, one.after_of, one.clock) == ("end", "start", "wall")
    ]
    limited = [one for one in behind if one.max_minutes is not None]
    if not plain or any(one not in plain for one in limited) or len(limited) > 1:
        return None
    wait = limited[0] if limited else plain[0]
    most = wait.max_minutes or max(wait.min_minutes, random.randint(6, 60) * 60)
    return replace(wait, kind="bond", max_minutes=most)


def _done(problem: Problem, first: Operation, taken: set[str]) -> Committed | None:
    """A step as done as soon as its calendar opens; None where its part fits nowhere.

    `taken` are the molds and places that are held already; more are added.
    """
    spans = next(one.open for one in problem.calendars if one.id == first.calendar)
    start = spans[0][0]
    fact = Committed(first.id, start, start + 1, None, None, (), "done")
    for part in problem.parts:
        if part.order != first.order:
            continue
        if part.mold_from == first.id:
            fact = replace(fact, mold=_free(problem, part, taken, "mold"))
            if fact.mold is None:
                return None
        if part.place_from == first.id:
            fact = replace(fact, place=_free(problem, part, taken, "place"))
            if fact.place is None:
                return None
    taken |= {name for name in (fact.mold, fact.place) if name is not None}
    return fact


def _free(problem: Problem, part: Part, taken: set[str], what: str) -> str | None:
    """A mold or place that fits a part, is in use all the time and nobody's yet."""
    model = next(one.model for one in problem.orders if one.order == part.order)
    fitting = [
        one
        for one in problem.molds
        if what == "mold" and one.part == part.part and model in one.models
    ]
    places = [
        one
        for one in problem.places
        if what == "place"
        and one.kind == part.place_kind
        and (not one.models or model in one.models)
    ]
    known = [one.id for one in (*fitting, *places) if not one.unavailable]
    return next((name for name in known if name not in taken), None)


def _repaired(problem: Problem, wait: Wait, random: Random) -> Problem:
    """Put the re-preparation of a wait behind its first step, by whoever does it."""
    at = next(n for n, one in enumerate(problem.operations) if one.id == wait.before)
    before = problem.operations[at]
    tick = problem.axis.tick_minutes
    step = replace(
        before,
        id=f"{before.order}/grind",
        code="grind",
        labor_hours=0.0 if before.skill is None else random.choice((1, 2)) * tick / 60,
        one_go=False,
        earliest=problem.now,
        demands=(),
        setup_family=None,
        slots=None,
        only_if=wait.id,
    )
    around = replace(
        wait, id=f"{step.id} before", kind="sequence", after=step.id, min_minutes=0,
        max_minutes=None,
    )  # fmt: skip
    behind = replace(around, id=f"{step.id} after", before=step.id, after=wait.after)
    waits = [
        replace(one, reprep=step.id) if one.id == wait.id else one
        for one in problem.waits
    ]
    operations = list(problem.operations)
    operations.insert(at + 1, step)
    return replace(
        problem, operations=tuple(operations), waits=(*waits, around, behind)
    )
