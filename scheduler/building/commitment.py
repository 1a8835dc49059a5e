"""What a committed plan binds: operations that stand still, and what was published.

An operation keeps its place unless facts make that impossible; then it and what
follows it in its order are free, and the cause is kept for the list of moves.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import partial

from models.errors import UsageError
from models.hours import whole_ticks
from models.spans import clip
from scheduler.building.overtime import opened_by
from scheduler.building.slots import SlotsNow, locked_starts
from scheduler.building.standing_services import pulls_behind, standing_services
from scheduler.building.yard_now import YardNow
from scheduler.overtime import with_opened
from scheduler.plan import Plan, Planned
from scheduler.problem import (
    Committed,
    Operation,
    Problem,
    Published,
    Service,
    Stint,
)
from scheduler.waiting import WaitClock

FACTS = ("done", "started")
FOLLOWS = "follows an operation that had to move"
ANEW = "the service of its mold before it is planned anew"
INSERTED = "work that the plan did not have comes before it"


@dataclass(frozen=True, slots=True)
class Standing:
    """What a committed plan gives: commitments, the published plan, causes of moves.

    `moved` holds the operations that the plan would have bound but facts do not
    allow, with the cause in words.
    """

    committed: tuple[Committed, ...]
    published: tuple[Published, ...]
    moved: dict[str, str]
    planned: dict[str, Planned]  # the plan's operations on the problem's axis
    services: tuple[Service, ...]  # of molds, by people


def standing(
    problem: Problem,
    plan: Plan,
    *,
    rearrange: bool = False,
    released: Mapping[str, str] | None = None,
) -> Standing:
    """Work out what a committed plan binds in a newly built problem.

    Parameters
    ----------
    problem : Problem
        The problem of today, with its facts and locks.
    plan : Plan
        The committed plan, perhaps of another day's problem.
    rearrange : bool
        Bind only what starts inside the frozen window.
    released : mapping, optional
        Operations that have to give way although facts allow them, with the cause.

    Raises
    ------
    UsageError
        If the plan counts ticks of another length.
    """
    planned = _shifted(problem, plan)
    facts = {one.operation: one for one in problem.committed if one.why in FACTS}
    bound = {
        one.operation: one
        for one in planned.values()
        if _why(facts, one) != "done"
        and (not rearrange or one.start < problem.frozen_until)
    }
    moved = _cannot_stand(problem, plan, bound, facts)
    for name, cause in (released or {}).items():
        if name in bound and name not in facts:
            moved.setdefault(name, cause)
    _follow(problem, bound, facts, moved)
    services = _standing_services(problem, plan, bound, facts, moved, rearrange)
    committed = (
        _entry(bound[one.id], one, facts.get(one.id))
        for one in problem.operations
        if one.id in bound and one.id not in moved
    )
    published = (
        Published(name, one.start, _people(one.people)) for name, one in planned.items()
    )
    return Standing(tuple(committed), tuple(published), moved, planned, services)


def _standing_services(
    problem: Problem,
    plan: Plan,
    bound: Mapping[str, Planned],
    facts: Mapping[str, Committed],
    moved: dict[str, str],
    rearrange: bool,
) -> tuple[Service, ...]:
    """The services by people that stay; pulls behind those that cannot are moved."""
    until = problem.frozen_until if rearrange else problem.axis.ticks + 1
    while True:
        left = {name: one for name, one in bound.items() if name not in moved}
        stands, lost = standing_services(problem, plan, facts, left, until)
        behind = set(pulls_behind(problem, left, lost)) - facts.keys()
        if not behind:
            return stands
        moved.update(dict.fromkeys(sorted(behind), ANEW))
        _follow(problem, bound, facts, moved)


def _why(facts: Mapping[str, Committed], one: Planned) -> str | None:
    fact = facts.get(one.operation)
    return None if fact is None else fact.why


def _people(stints: Iterable[Stint]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(stint.person for stint in stints))


def _shifted(problem: Problem, plan: Plan) -> dict[str, Planned]:
    """Lay a plan's operations on the problem's axis, those that it still has."""
    old, new = plan.problem.axis, problem.axis
    if old.tick_minutes != new.tick_minutes:
        raise UsageError(
            f"the committed plan counts in steps of {old.tick_minutes} minutes and "
            f"the yard in steps of {new.tick_minutes}: plan without --committed"
        )
    shifted = plan.operations_later(new.tick_floor(old.start))
    return {one.id: shifted[one.id] for one in problem.operations if one.id in shifted}


def _entry(one: Planned, operation: Operation, fact: Committed | None) -> Committed:
    """Commit an operation as planned; of a started one, what remains."""
    stints = one.people
    why, start, mold, place = "frozen", one.start, one.mold, one.place
    if fact is not None:
        why, start = "started", fact.start if fact.start is not None else one.start
        mold, place = fact.mold or one.mold, fact.place or one.place
        stints = tuple(_left_of_stints(one, operation.earliest))
    return Committed(
        operation=one.operation,
        start=start,
        finish=one.finish,
        mold=mold,
        place=place,
        people=_people(stints),
        why=why,
        crew=one.crew,
        stints=stints,
    )


def _left_of_stints(one: Planned, now: int) -> Iterator[Stint]:
    """What stints have yet to work, from the first tick at which they do."""
    for stint in one.people:
        left = clip(one.segments, max(stint.start, now), max(stint.finish, now))
        if left:
            yield replace(stint, start=left[0][0])


def _cannot_stand(
    problem: Problem,
    plan: Plan,
    bound: Mapping[str, Planned],
    facts: Mapping[str, Committed],
) -> dict[str, str]:
    """Find what facts, locks or a changed order or yard do not allow, with causes."""
    operations = {one.id: one for one in problem.operations}
    hours = {one.id: one.labor_hours for one in plan.problem.operations}
    yard = YardNow(with_opened(problem, opened_by(problem, plan)))
    slots = SlotsNow(problem)
    pinned = dict(locked_starts(problem))
    for name, start in pinned.items():
        slots.take(operations[name], start)
    changed = _changed_orders(problem, plan)
    locks = {one.operation: one for one in problem.committed if one.why == "locked"}
    moved: dict[str, str] = {}
    for name, one in bound.items():
        operation = operations[name]
        if operation.order in changed:
            moved[name] = "the order's model or steps have changed"
            continue
        cause = None
        if name in facts:
            if not _remainder_stands(one, operation, problem.axis.tick_minutes):
                cause = "what remains of it differs from the plan"
        elif round(operation.labor_hours - hours[name], 6):
            cause = "its labor hours have changed"
        elif one.start < operation.earliest:
            cause = _too_early(operation, problem)
        if name in locks and not _agrees(one, locks[name]):
            cause = "the planner pinned it otherwise"
        cause = cause or yard.objection(one, operation)
        if cause is None and name not in facts and name not in pinned:
            cause = slots.take(operation, one.start)
        if cause is not None:
            moved[name] = cause
    for name in _early_followers(problem, bound, facts):
        moved.setdefault(name, "what it waits for was done later than planned")
    for name in _after_inserted(problem, plan, facts):
        if name in bound and name not in facts:
            moved.setdefault(name, INSERTED)
    return moved


def _too_early(operation: Operation, problem: Problem) -> str:
    if operation.earliest > problem.now:
        until = problem.axis.local(operation.earliest).date().isoformat()
        return f"its items or its release keep it until {until}"
    return "it was planned before today and is not recorded as begun"


def _agrees(one: Planned, lock: Committed) -> bool:
    return (
        lock.start in (None, one.start)
        and lock.mold in (None, one.mold)
        and (not lock.people or set(lock.people) == set(_people(one.people)))
    )


def _remainder_stands(one: Planned, operation: Operation, tick_minutes: int) -> bool:
    """Whether the plan's segments from now on are what a started operation needs."""
    if operation.skill is None:
        need = -(-(operation.duration_minutes or 0) // tick_minutes)
    elif operation.remaining_hours is None or one.crew == 0:
        return False
    else:
        need = whole_ticks(operation.remaining_hours, one.crew, tick_minutes)
    left = clip(one.segments, operation.earliest, max(one.finish, operation.earliest))
    return sum(end - start for start, end in left) == need


def _changed_orders(problem: Problem, plan: Plan) -> set[str]:
    """Orders whose work is not what it was when the plan was made, but for more of it.

    Operations that were only added leave the others where they are, as far as nothing
    waits for them.
    """

    begun = {one.operation for one in problem.committed if one.why == "started"}

    def work(of: Problem) -> dict[str, dict[str, tuple[object, ...]]]:
        out: dict[str, dict[str, tuple[object, ...]]] = {}
        models = {one.order: one.model for one in of.orders}
        for one in of.operations:
            out.setdefault(one.order, {})[one.id] = (
                models[one.order],
                one.calendar,
                one.skill,
                one.crew_min,
                one.crew_max,
                None if one.id in begun else one.duration_minutes,
                one.one_go,
                one.demands,
            )
        return out

    before, now = work(plan.problem), work(problem)
    return {
        order
        for order, rows in now.items()
        if not before.get(order, {"": ()}).items() <= rows.items()
    }


def _instant(
    name: str, of: str, bound: Mapping[str, Planned], facts: Mapping[str, Committed]
) -> tuple[int | None, bool]:
    """Give when an operation starts or ends, and whether that is a fact."""
    fact = facts.get(name)
    if fact is not None:
        at = fact.start if of == "start" else fact.finish
        if at is not None:
            return at, True
    if name in bound:
        return (bound[name].start if of == "start" else bound[name].finish), False
    return None, False


def _early_followers(
    problem: Problem, bound: Mapping[str, Planned], facts: Mapping[str, Committed]
) -> Iterator[str]:
    """List planned operations whose wait a fact breaks."""
    clock = WaitClock(problem)
    at = partial(_instant, bound=bound, facts=facts)
    for wait in problem.waits:
        since, is_fact = at(wait.before, wait.before_of)
        until, follows_fact = at(wait.after, wait.after_of)
        if since is None or until is None or not is_fact or follows_fact:
            continue
        if not clock.keeps(wait, since, until):
            yield wait.after


def _after_inserted(
    problem: Problem, plan: Plan, facts: Mapping[str, Committed]
) -> Iterator[str]:
    """List operations that wait for one which the plan does not have, still to do."""
    fresh = {one.id for one in problem.operations}
    fresh -= {one.operation for one in plan.answer.operations}
    fresh -= {name for name, one in facts.items() if one.why == "done"}
    return (wait.after for wait in problem.waits if wait.before in fresh)


def _follow(
    problem: Problem,
    bound: Mapping[str, Planned],
    facts: Mapping[str, Committed],
    moved: dict[str, str],
) -> None:
    """Free everything that waits, at any remove, for an operation that has to move."""
    followers: dict[str, list[str]] = {}
    for wait in problem.waits:
        followers.setdefault(wait.before, []).append(wait.after)
    todo = list(moved)
    while todo:
        for after in followers.get(todo.pop(), ()):
            if after in bound and after not in facts and after not in moved:
                moved[after] = FOLLOWS
                todo.append(after)
