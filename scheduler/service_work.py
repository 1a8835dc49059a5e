"""Services of molds by people, as orders of one operation beside the boats.

A service with a crew is work like any other: it keeps its mold from its start to its
finish, and its people at every tick that it is worked. So the problem that is compiled
has orders of the kind `SERVICE`, as many for each mold as some plan may need; a plan
has those of them that it needs. Its file tells them as services of a mold.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from models.spans import clip
from scheduler.plan import Planned
from scheduler.problem import Committed, Operation, Order, Part
from scheduler.servicing import SERVICE, has_crew, is_pull

if TYPE_CHECKING:
    from scheduler.plan import Occupation
    from scheduler.problem import Calendar, Mold, Problem, Service

MOST_IN_ALL = 60
"""Services of all molds up to which a problem has every one that may be needed."""


@dataclass(frozen=True)
class Serviced:
    """A problem with services as orders, behind all others.

    `mold_of` says by order which mold it is of. `complete` tells that no plan ever
    needs more of them, so that a bound of this problem is one of the stated problem.
    """

    problem: Problem
    mold_of: dict[str, str]
    complete: bool


def with_services(stated: Problem) -> Serviced:
    """The problem with an order for each service by people that may be needed."""
    molds = [one for one in stated.molds if has_crew(one)]
    if not molds:
        return Serviced(stated, {}, complete=True)
    given: dict[str, list[Service]] = defaultdict(list)
    for service in stated.services:
        given[service.mold].append(service)
    needed = {one.id: _needed(stated, one, len(given[one.id])) for one in molds}
    complete = sum(needed.values()) <= MOST_IN_ALL
    orders, mold_of = list(stated.orders), {}
    parts, operations = list(stated.parts), list(stated.operations)
    committed = list(stated.committed)
    calendars = {one.id: one for one in stated.calendars}
    for mold in molds:
        count = needed[mold.id]
        if not complete:
            count = min(count, _usual(stated, mold))
        calendar = _regular(stated, mold, calendars)
        listed: list[Service | None] = [*given[mold.id], *[None] * count]
        for number, stands in enumerate(listed, 1):
            order = f"{mold.id}/service {number}"
            mold_of[order] = mold.id
            orders.append(_order(order, mold))
            operations.append(service_operation(order, mold, calendar, stated.now))
            parts.append(_part(order, mold))
            committed.append(_committed(order, mold, stands))
    problem = replace(
        stated,
        calendars=tuple(calendars.values()),
        orders=tuple(orders),
        parts=tuple(parts),
        operations=tuple(operations),
        committed=tuple(committed),
    )
    return Serviced(problem, mold_of, complete)


def most_services(pulls: int, every: int) -> int:
    """The most services among so many pulls of which none could be left out.

    Where two stretches of pulls beside a service come to no more than its interval,
    it is not needed. So m stretches of which none can be joined to the next have at
    least `every` + 1 pulls for every two, and one more if m is odd.
    """
    pairs, rest = divmod(pulls, every + 1)
    return max(0, 2 * pairs + (1 if rest else 0) - 1)


def _needed(problem: Problem, mold: Mold, given: int) -> int:
    """Services of a mold beside those given that some plan may need.

    Each given one parts the pulls, so that one more may be needed.
    """
    pulls = mold.pulls + sum(1 for _ in _pulls_to_come(problem, mold))
    return most_services(pulls, mold.service_every or 1) + (1 if given else 0)


def _usual(problem: Problem, mold: Mold) -> int:
    """Services enough for twice a mold's share of the pulls to come."""
    alike = [
        one
        for one in problem.molds
        if one.part == mold.part and set(one.models) & set(mold.models)
    ]
    share = -(-sum(1 for _ in _pulls_to_come(problem, mold)) // len(alike))
    return 2 * -(-share // (mold.service_every or 1)) + 2


def _pulls_to_come(problem: Problem, mold: Mold) -> Iterator[Part]:
    """Parts that are in a mold, or may come to be."""
    orders = {one.order: one for one in problem.orders}
    facts = {one.operation: one for one in problem.committed}
    for part in problem.parts:
        order = orders[part.order]
        first, last = facts.get(part.mold_from or ""), facts.get(part.mold_to or "")
        if (
            part.part == mold.part
            and part.mold_from is not None
            and order.model in mold.models
            and is_pull(order)
            and (last is None or last.why != "done")
            and (first is None or first.mold in (None, mold.id))
        ):
            yield part


def _regular(problem: Problem, mold: Mold, calendars: dict[str, Calendar]) -> str:
    """The calendar of a service, apart from the one that overtime may lengthen."""
    name = mold.service_calendar or ""
    if all(one.calendar != name for one in problem.overtime):
        return name
    own = f"{name}/service"
    calendars.setdefault(own, replace(calendars[name], id=own))
    return own


def _order(order: str, mold: Mold) -> Order:
    return Order(order, SERVICE, mold.models[0], 0, None, None, 0)


def service_operation(order: str, mold: Mold, calendar: str, now: int) -> Operation:
    """A service as the work of an order of its own."""
    crew = mold.service_crew or 1
    return Operation(
        id=f"{order}/work",
        order=order,
        parts=(mold.part,),
        code=SERVICE,
        station=SERVICE,
        calendar=calendar,
        skill=mold.service_skill,
        crew_min=crew,
        crew_max=crew,
        labor_hours=(mold.service_hours or 0.0) * crew,
        remaining_hours=None,
        duration_minutes=None,
        one_go=False,
        exclusive_part=False,
        demands=(),
        earliest=now,
    )


def _part(order: str, mold: Mold) -> Part:
    work = f"{order}/work"
    return Part(order, mold.part, work, work, None, None, None, "end")


def _committed(order: str, mold: Mold, given: Service | None) -> Committed:
    """Keep a service to its mold, and to its time and people where they are given."""
    if given is None:
        return Committed(f"{order}/work", None, None, mold.id, None, (), "locked")
    return Committed(
        operation=f"{order}/work",
        start=given.start,
        finish=given.finish,
        mold=mold.id,
        place=None,
        people=tuple(dict.fromkeys(one.person for one in given.people)),
        why="frozen",
        crew=mold.service_crew or 1,
        stints=given.people,
    )


def as_planned(
    problem: Problem, services: Iterable[Service]
) -> tuple[tuple[str, Planned], ...]:
    """Services by people as rows of work, each with its skill.

    Their `operation` is in words; they are worked in open time of their calendar.
    """
    molds = {one.id: one for one in problem.molds}
    calendars = {one.id: one for one in problem.calendars}
    rows = []
    for one in services:
        mold = molds[one.mold]
        if mold.service_skill is None:
            continue
        spans = calendars[mold.service_calendar or ""].open
        row = Planned(
            operation=f"service of {one.mold}",
            start=one.start,
            finish=one.finish,
            segments=clip(spans, one.start, one.finish),
            crew=mold.service_crew or 1,
            people=one.people,
            mold=one.mold,
            place=None,
        )
        rows.append((mold.service_skill, row))
    return tuple(rows)


def worth_telling(
    problem: Problem, services: Iterable[Service], occupations: Iterable[Occupation]
) -> tuple[Service, ...]:
    """The services by people that a plan needs, of all that were placed.

    Those that are given stay. Of the others each is left out without which no more
    than its interval of pulls would follow upon one another.
    """
    orders = {one.order: one for one in problem.orders}
    pulls: dict[str, list[int]] = defaultdict(list)
    for row in occupations:
        if is_pull(orders[row.order]):
            pulls[row.resource].append(row.start)
    own: dict[str, list[Service]] = defaultdict(list)
    for service in sorted(services, key=lambda one: (one.mold, one.start)):
        own[service.mold].append(service)
    molds = {one.id: one for one in problem.molds}
    given = {(one.mold, one.start) for one in problem.services}
    out: list[Service] = []
    for name, placed in own.items():
        mold, starts = molds[name], sorted(pulls[name])
        edges = [*(one.start for one in placed), problem.axis.ticks + 1]
        count = mold.pulls + sum(start < edges[0] for start in starts)
        for place, service in enumerate(placed):
            after = sum(edges[place] <= one < edges[place + 1] for one in starts)
            stays = (name, service.start) in given
            joined = after == 0 or count + after <= (mold.service_every or 0)
            if stays or not joined:
                out.append(service)
                count = after
            else:
                count += after
    return tuple(out)
