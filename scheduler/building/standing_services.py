"""Which services of a committed plan stand, where people do them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from scheduler.building.yard_now import YardNow
from scheduler.problem import Service, Stint
from scheduler.service_work import as_planned, service_operation
from scheduler.servicing import has_crew

if TYPE_CHECKING:
    from scheduler.plan import Plan, Planned
    from scheduler.problem import Committed, Mold, Problem

OF_SERVICE = ("service_hours", "service_calendar", "service_skill", "service_crew")
"""What must be as it was for a service to stand."""


def standing_services(
    problem: Problem,
    plan: Plan,
    facts: Mapping[str, Committed],
    bound: Mapping[str, Planned],
    until: int,
) -> tuple[tuple[Service, ...], dict[str, int]]:
    """The services by people that stay where a committed plan has them.

    Those that are over are in the pulls of their mold; one under way stays.

    Parameters
    ----------
    facts, bound : mapping
        What is done or begun, and what else stands of the plan, by operation.
    until : int
        Services that begin from this tick on are free.

    Returns
    -------
    tuple
        The services, and by mold when the first one was to begin that cannot stay: no
        later one of that mold does.
    """
    now = YardNow(problem)
    before = {one.id: one for one in plan.problem.molds}
    molds = {one.id: one for one in problem.molds if has_crew(one)}
    ticks = problem.axis.tick_floor(plan.problem.axis.start)
    out: list[Service] = []
    lost: dict[str, int] = {}
    for given in sorted(plan.answer.services, key=lambda one: one.start):
        mold, one = molds.get(given.mold), _shifted(given, ticks)
        if mold is None or one.finish <= problem.now or one.start >= until:
            continue
        stays = mold.id not in lost and _is_as_it_was(before.get(mold.id), mold)
        if stays:
            work = service_operation(mold.id, mold, mold.service_calendar or "", 0)
            ((_, row),) = as_planned(problem, [one])
            stays = now.objection(row, work) is None
        if stays and _is_empty(problem, one, facts, bound):
            out.append(one)
        else:
            lost.setdefault(mold.id, one.start)
    return tuple(out), lost


def pulls_behind(
    problem: Problem, bound: Mapping[str, Planned], lost: Mapping[str, int]
) -> Iterator[str]:
    """Operations with which parts enter molds whose service before them is lost."""
    for part in problem.parts:
        row = bound.get(part.mold_from or "")
        since = None if row is None else lost.get(row.mold or "")
        if row is not None and since is not None and row.start >= since:
            yield row.operation


def _is_as_it_was(before: Mold | None, mold: Mold) -> bool:
    return before is not None and all(
        getattr(before, name) == getattr(mold, name) for name in OF_SERVICE
    )


def _shifted(one: Service, ticks: int) -> Service:
    people = tuple(
        Stint(stint.person, stint.start + ticks, stint.finish + ticks)
        for stint in one.people
    )
    return replace(
        one, start=one.start + ticks, finish=one.finish + ticks, people=people
    )


def _is_empty(
    problem: Problem,
    service: Service,
    facts: Mapping[str, Committed],
    bound: Mapping[str, Planned],
) -> bool:
    """Whether nothing that stands is in the mold during a service."""
    for part in problem.parts:
        begin = _when(part.mold_from, service.mold, facts, bound)
        if begin is None:
            continue
        end = _when(part.mold_to, service.mold, facts, bound)
        finish = problem.axis.ticks if end is None or end[1] is None else end[1]
        if begin[0] < service.finish and service.start < finish:
            return False
    return True


def _when(
    name: str | None,
    mold: str,
    facts: Mapping[str, Committed],
    bound: Mapping[str, Planned],
) -> tuple[int, int | None] | None:
    """Start and finish of an operation that stands and names a mold.

    A started one that is not bound ends nobody knows when.
    """
    fact, row = facts.get(name or ""), bound.get(name or "")
    if fact is not None and fact.why == "done" and fact.mold == mold:
        return (fact.start or 0), fact.finish
    if row is not None and row.mold == mold:
        return row.start, row.finish
    if fact is not None and fact.mold == mold:
        return (fact.start or 0), None
    return None
