"""Slots of a yard against what facts and earlier plans give."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator

from models.errors import Fault
from scheduler.building.facts import LOCKS
from scheduler.problem import Operation, Problem


class SlotsNow:
    """Which slots are taken, as operations are given their starts one by one."""

    def __init__(self, problem: Problem) -> None:
        self._calendars = {one.id: one for one in problem.calendars}
        self._taken: Counter[tuple[str, int]] = Counter()

    def take(self, operation: Operation, start: int) -> str | None:
        """Take a place in a slot; says why there is none, if so."""
        if operation.slots is None:
            return None
        calendar = self._calendars[operation.slots]
        slot = next((one for one in calendar.open if one[0] <= start < one[1]), None)
        if slot is None:
            return f"no slot of {calendar.id} begins it"
        self._taken[calendar.id, slot[0]] += 1
        most = calendar.starts_per_slot
        if most is not None and self._taken[calendar.id, slot[0]] > most:
            return f"its slot of {calendar.id} is full"
        return None


def slot_faults(problem: Problem) -> Iterator[Fault]:
    """Find pins outside a slot, and more of them in one than it has room for."""
    slots = SlotsNow(problem)
    operations = {one.id: one for one in problem.operations}
    for name, start in locked_starts(problem):
        cause = slots.take(operations[name], start)
        if cause is not None:
            order, _, code = name.partition("/")
            at = problem.axis.local(start)
            yield Fault(
                LOCKS,
                f"order {order}, {code}",
                f"start {at:%Y-%m-%d %H:%M}, but {cause}",
                "a start in a slot with room for it",
            )


def locked_starts(problem: Problem) -> Iterable[tuple[str, int]]:
    """Operations whose start the planner has pinned."""
    for one in problem.committed:
        if one.why == "locked" and one.start is not None:
            yield one.operation, one.start
