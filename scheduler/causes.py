"""Why work begins at another time than in an earlier plan.

First what facts and the yard of today do not allow: they say so themselves. Then what
waits for work that moved has that work's cause. What is left was moved by the planner:
the mold, place, station or person that it had is somebody else's now, or there is room
for it earlier.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from models.spans import clip
from scheduler.building.commitment import FACTS, FOLLOWS, standing
from scheduler.plan import Plan, Planned
from scheduler.service_work import as_planned

if TYPE_CHECKING:
    from scheduler.problem import Mold, Operation, Place, Problem

TURN = "the plan gives other work the turn"
ROOM = "there is room for it earlier"
Stays = dict[tuple[str, str], tuple[int, int]]  # by resource and order
Taken = dict[str, list[tuple[int, int, str]]]  # by resource: from, to, order


@dataclass(frozen=True, slots=True)
class Cause:
    """An operation that begins at another time, and why.

    `follows` names the operation of its order whose cause it has, or is empty.
    """

    operation: str
    order: str
    start_before: datetime
    start_after: datetime
    inside_window: bool  # it was to begin inside the frozen window
    cause: str
    follows: str = ""


def causes_of(before: Plan, after: Plan) -> tuple[Cause, ...]:
    """Give the cause of every operation that begins at another time.

    What is done or begun is a fact, no move. Operations come in the order in which
    they begin now.

    Raises
    ------
    UsageError
        If the plans count ticks of different length.
    """
    return _Causes(before, after).all()


class _Causes:
    """Two plans on the clock of the later one."""

    def __init__(self, before: Plan, after: Plan) -> None:
        self.problem, self.before = after.problem, before
        self.by = after.problem.axis.tick_floor(before.problem.axis.start)
        self.old = {one.operation: one for one in before.answer.operations}
        self.new = {one.operation: one for one in after.answer.operations}
        self.operations = {one.id: one for one in after.problem.operations}
        self.order_of = _orders(before.problem) | _orders(after.problem)
        self.fresh = {one.order for one in after.answer.orders} - {
            one.order for one in before.answer.orders
        }
        self.gone = {one.order for one in before.answer.orders} - {
            one.order for one in after.answer.orders
        }
        self.direct = {
            name: cause
            for name, cause in standing(after.problem, before).moved.items()
            if cause != FOLLOWS
        }
        self.taken_now = _taken(after, 0, self.operations)
        self.taken_then = _taken(before, self.by, _by_id(before.problem))
        self.stays_then, self.stays_now = _stays(before), _stays(after)
        resources: tuple[Mold | Place, ...] = (
            *after.problem.molds,
            *after.problem.places,
        )
        self.unavailable = {one.id: one.unavailable for one in resources}
        self.into: dict[str, list[str]] = defaultdict(list)
        for wait in after.problem.waits:
            self.into[wait.after].append(wait.before)
        self.found: dict[str, tuple[str, str]] = {}

    def all(self) -> tuple[Cause, ...]:
        """Every move with its cause."""
        facts = {one.operation for one in self.problem.committed if one.why in FACTS}
        moved = [
            name
            for name, row in self.new.items()
            if name in self.old and name not in facts and self._shift(row) != 0
        ]
        moved.sort(key=lambda name: (self.new[name].start, name))
        for name in moved:  # what comes before has its cause already
            self.found[name] = self._cause(name)
        axis, old_axis = self.problem.axis, self.before.problem.axis
        return tuple(
            Cause(
                name,
                self.order_of[name],
                old_axis.instant(self.old[name].start).astimezone(axis.zone),
                axis.local(self.new[name].start),
                self.old[name].start + self.by < self.problem.frozen_until,
                *self.found[name],
            )
            for name in moved
        )

    def _shift(self, row: Planned) -> int:
        return row.start - (self.old[row.operation].start + self.by)

    def _cause(self, name: str) -> tuple[str, str]:
        """The cause and the operation that it comes from."""
        shift = self._shift(self.new[name])
        if name in self.direct:
            return self.direct[name], ""
        driving = [
            one
            for one in self.into[name]
            if one in self.old and one in self.new and self._ends(one) * shift > 0
        ]
        if driving:
            last = max(driving, key=lambda one: (self.new[one].finish, one))
            cause, root = self.found.get(last, (self.direct.get(last, ""), last))
            return cause or f"'{self._code(last)}' ended at another time", root or last
        return (self._why_later(name) if shift > 0 else self._why_earlier(name)), ""

    def _ends(self, name: str) -> int:
        return self.new[name].finish - (self.old[name].finish + self.by)

    def _why_later(self, name: str) -> str:
        """Who has now what it had then."""
        old = self.old[name]
        for resource in _resources(old, self.operations[name]):
            span = self._stay(self.stays_then, self.by, old, resource)
            if clip(self.unavailable.get(resource, ()), *span):
                return f"{resource} is out of use"
            order = self._other(self.taken_now, resource, span, name)
            if order is not None:
                new = ", which is new" if order in self.fresh else ""
                return f"{resource} is given to {order}{new}"
        return TURN

    def _why_earlier(self, name: str) -> str:
        """Who has left what it has now."""
        new = self.new[name]
        for resource in _resources(new, self.operations[name]):
            span = self._stay(self.stays_now, 0, new, resource)
            order = self._other(self.taken_then, resource, span, name)
            if order is not None:
                how = ", which left the book" if order in self.gone else ""
                return f"{resource} is free of {order}{how}"
        return ROOM

    def _stay(
        self, stays: Stays, by: int, row: Planned, resource: str
    ) -> tuple[int, int]:
        """How long its order is in a mold or place; of others, how long it works."""
        key = resource, self.order_of[row.operation]
        start, finish = stays.get(key, (row.start, row.finish))
        return start + by, finish + by

    def _other(
        self, taken: Taken, resource: str, span: tuple[int, int], name: str
    ) -> str | None:
        """The first other order that has a resource in a span."""
        start, finish = span
        own = self.order_of[name]
        return next(
            (
                order
                for begin, end, order in taken.get(resource, ())
                if begin < finish and start < end and order != own
            ),
            None,
        )

    def _code(self, name: str) -> str:
        return name.partition("/")[2]


def _orders(problem: Problem) -> dict[str, str]:
    return {one.id: one.order for one in problem.operations}


def _by_id(problem: Problem) -> dict[str, Operation]:
    return {one.id: one for one in problem.operations}


def _resources(row: Planned, operation: Operation) -> list[str]:
    """What an operation takes: mold, place, stations with a capacity, people."""
    held = [one for one in (row.mold, row.place) if one is not None]
    held += [name for name, _ in operation.demands]
    return [*held, *dict.fromkeys(stint.person for stint in row.people)]


def _taken(plan: Plan, by: int, operations: Mapping[str, Operation]) -> Taken:
    """When each mold, place, station and person is taken, and by what."""
    out: Taken = defaultdict(list)
    for held in plan.answer.occupations:
        out[held.resource].append((held.start + by, held.finish + by, held.order))
    for row in plan.answer.operations:
        operation = operations[row.operation]
        spans = [(name, row.start, row.finish) for name, _ in operation.demands]
        spans += [(one.person, one.start, one.finish) for one in row.people]
        for name, start, finish in spans:
            out[name].append((start + by, finish + by, operation.order))
    for _, row in as_planned(plan.problem, plan.answer.services):
        for one in row.people:
            out[one.person].append((one.start + by, one.finish + by, row.operation))
    for rows in out.values():
        rows.sort()
    return out


def _stays(plan: Plan) -> Stays:
    return {
        (one.resource, one.order): (one.start, one.finish)
        for one in plan.answer.occupations
    }


def grouped(causes: Iterable[Cause]) -> dict[str, list[Cause]]:
    """Moves by their cause, the cause of most moves first."""
    out: dict[str, list[Cause]] = {}
    for one in causes:
        out.setdefault(one.cause, []).append(one)
    return dict(sorted(out.items(), key=lambda pair: (-len(pair[1]), pair[0])))
