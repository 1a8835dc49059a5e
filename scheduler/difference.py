"""What is not the same in two plans: dates, promises, operations, people.

Two plans may begin at different instants, hold different orders and promise different
dates; instants are compared as instants, dates on the clock of the later plan. Work
that the later plan has as done is a fact, not a move.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from scheduler.plan import OrderResult, Plan, Planned
from scheduler.problem import Order

NEW, GONE = "new", "gone"
BREAKS, HEALS, KEPT, LATE, NONE = "breaks", "heals", "kept", "late", "no promise"


@dataclass(frozen=True, slots=True)
class BoatChange:
    """One boat in both plans, or in one of them.

    `finish_*` is None where the plan does not hold the boat. `promise` says what
    becomes of it: breaks, heals, kept, late as before, or no promise. One that is kept
    only because another date is promised does not heal.
    """

    order: str
    model: str
    finish_before: date | None
    finish_after: date | None
    promised_before: date | None
    promised_after: date | None
    late_days_before: int
    late_days_after: int
    promise: str
    operations_moved: int = 0
    people_changed: int = 0  # operations with other people
    is_boat: bool = True  # and no repair, warranty or show job

    @property
    def days_later(self) -> int:
        """Calendar days that the finish moved; 0 if one plan has no such boat."""
        if self.finish_before is None or self.finish_after is None:
            return 0
        return (self.finish_after - self.finish_before).days

    @property
    def changed(self) -> bool:
        """Whether anything about the boat is not the same."""
        return bool(
            self.finish_before != self.finish_after
            or self.promised_before != self.promised_after
            or self.operations_moved
            or self.people_changed
        )


@dataclass(frozen=True, slots=True)
class OperationChange:
    """An operation in both plans that begins, ends or is manned otherwise."""

    operation: str
    order: str
    start_before: datetime
    start_after: datetime
    finish_before: datetime
    finish_after: datetime
    people_before: tuple[str, ...]
    people_after: tuple[str, ...]

    @property
    def moved(self) -> bool:
        """Whether it begins or ends at another instant."""
        return (self.start_before, self.finish_before) != (
            self.start_after,
            self.finish_after,
        )

    @property
    def other_day(self) -> bool:
        """Whether it begins on another local day."""
        return self.start_before.date() != self.start_after.date()

    @property
    def other_people(self) -> bool:
        """Whether other people work on it."""
        return self.people_before != self.people_after


@dataclass(frozen=True, slots=True)
class PersonChange:
    """A person whose work is not the same: operations gained and lost, hours."""

    person: str
    gained: int
    lost: int
    hours_before: float
    hours_after: float


@dataclass(frozen=True, slots=True)
class Difference:
    """Two plans compared.

    `compared` counts the operations of both plans that are to do in the later one,
    `done_since` those that were to do in the earlier and are done in the later one.
    `boats` holds every boat of either; `operations` and `people` only what is not the
    same.
    """

    boats: tuple[BoatChange, ...]
    operations: tuple[OperationChange, ...]
    people: tuple[PersonChange, ...]
    compared: int
    done_since: int
    tardiness_before: float
    tardiness_after: float
    overtime_before: float  # price
    overtime_after: float

    @property
    def same(self) -> bool:
        """Whether the two plans say the same about every boat, step and person."""
        return not (
            self.operations or self.people or any(one.changed for one in self.boats)
        )


def difference(before: Plan, after: Plan) -> Difference:
    """Compare two plans.

    Parameters
    ----------
    before, after : Plan
        Any two plans, usually of one yard.
    """
    to_do = _to_do(after)
    operations, compared = _operations(before, after, to_do)
    return Difference(
        boats=tuple(_boats(before, after, operations)),
        operations=operations,
        people=tuple(_people(before, after)),
        compared=compared,
        done_since=len(_to_do(before) & _ids(after) - to_do),
        tardiness_before=_level(before, "tardiness"),
        tardiness_after=_level(after, "tardiness"),
        overtime_before=_level(before, "overtime"),
        overtime_after=_level(after, "overtime"),
    )


def _ids(plan: Plan) -> set[str]:
    return {one.operation for one in plan.answer.operations}


def _to_do(plan: Plan) -> set[str]:
    done = {one.operation for one in plan.problem.committed if one.why == "done"}
    return _ids(plan) - done


def _operations(
    before: Plan, after: Plan, to_do: set[str]
) -> tuple[tuple[OperationChange, ...], int]:
    orders = {one.id: one.order for one in after.problem.operations}
    old = {one.operation: one for one in before.answer.operations}
    axis, old_axis = after.problem.axis, before.problem.axis
    found: list[OperationChange] = []
    compared = 0
    for planned in after.answer.operations:
        earlier = old.get(planned.operation)
        if earlier is None or planned.operation not in to_do:
            continue
        compared += 1
        change = OperationChange(
            planned.operation,
            orders[planned.operation],
            old_axis.instant(earlier.start).astimezone(axis.zone),
            axis.local(planned.start),
            old_axis.instant(earlier.finish).astimezone(axis.zone),
            axis.local(planned.finish),
            _names(earlier),
            _names(planned),
        )
        if change.moved or change.other_people:
            found.append(change)
    found.sort(key=lambda one: (one.start_after, one.operation))
    return tuple(found), compared


def _names(planned: Planned) -> tuple[str, ...]:
    return tuple(sorted({stint.person for stint in planned.people}))


def _boats(
    before: Plan, after: Plan, operations: tuple[OperationChange, ...]
) -> Iterator[BoatChange]:
    old, new = _by_order(before), _by_order(after)
    for name in [*new, *(name for name in old if name not in new)]:
        mine, theirs = old.get(name), new.get(name)
        one = _Side(before, *mine) if mine is not None else None
        other = _Side(after, *theirs) if theirs is not None else None
        there = other or one
        assert there is not None
        own = [change for change in operations if change.order == name]
        yield BoatChange(
            order=name,
            model=there.order.model,
            finish_before=one.finish if one else None,
            finish_after=other.finish if other else None,
            promised_before=one.promised if one else None,
            promised_after=other.promised if other else None,
            late_days_before=one.result.tardy_days if one else 0,
            late_days_after=other.result.tardy_days if other else 0,
            promise=_promise(one, other),
            operations_moved=sum(change.moved for change in own),
            people_changed=sum(change.other_people for change in own),
            is_boat=there.order.kind != "other",
        )


@dataclass(frozen=True, slots=True)
class _Side:
    """One boat in one plan."""

    plan: Plan
    order: Order
    result: OrderResult

    @property
    def finish(self) -> date:
        """The local day of the last instant of work."""
        return self.plan.problem.axis.local(max(0, self.result.finish - 1)).date()

    @property
    def promised(self) -> date | None:
        text = self.order.promised
        return None if text is None else date.fromisoformat(text)

    @property
    def late(self) -> bool:
        """Whether a promise is not kept."""
        return self.order.promised is not None and self.result.tardy_days > 0


def _by_order(plan: Plan) -> dict[str, tuple[Order, OrderResult]]:
    results = {one.order: one for one in plan.answer.orders}
    return {
        one.order: (one, results[one.order])
        for one in plan.problem.orders
        if one.order in results
    }


def _promise(before: _Side | None, after: _Side | None) -> str:
    if after is None or after.promised is None:
        return NONE
    was_late = before is not None and before.late
    if after.late:
        return LATE if was_late else BREAKS
    same_date = before is not None and before.promised == after.promised
    return HEALS if was_late and same_date else KEPT


def _people(before: Plan, after: Plan) -> Iterator[PersonChange]:
    old, new = _work(before), _work(after)
    for person in sorted(old.keys() | new.keys()):
        mine, theirs = old.get(person, {}), new.get(person, {})
        gained, lost = theirs.keys() - mine.keys(), mine.keys() - theirs.keys()
        if gained or lost:
            hours = (round(sum(one.values()), 2) for one in (mine, theirs))
            yield PersonChange(person, len(gained), len(lost), *hours)


def _work(plan: Plan) -> dict[str, dict[str, float]]:
    """Hours by person and operation."""
    tick = timedelta(minutes=plan.problem.axis.tick_minutes)
    work: dict[str, dict[str, float]] = {}
    for planned in plan.answer.operations:
        for stint in planned.people:
            ticks = sum(
                max(0, min(end, stint.finish) - max(start, stint.start))
                for start, end in planned.segments
            )
            own = work.setdefault(stint.person, {})
            hours = ticks * tick / timedelta(hours=1)
            own[planned.operation] = own.get(planned.operation, 0.0) + hours
    return work


def _level(plan: Plan, name: str) -> float:
    return next((one.value for one in plan.answer.levels if one.name == name), 0.0)
