"""How late each step of a boat may begin without moving the boat's planned finish.

Seen from the boat alone: its waits, its calendars and work that tolerates nothing
beside it in the same part. What people, molds and stations are free for is left out,
so a step may find less room in the shop than it has here, never more.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from scheduler.plan_clock import PlanClock, worked_ticks

if TYPE_CHECKING:
    from scheduler.plan import Plan, Planned
    from scheduler.problem import Operation, Wait

GIVEN = ("done", "started")


class OwnFloat:
    """Latest starts of one boat's steps in a plan, worked out from its finish back."""

    def __init__(self, plan: Plan, clock: PlanClock, order: str) -> None:
        problem = plan.problem
        self._clock = clock
        self._operations = {
            one.id: one for one in problem.operations if one.order == order
        }
        self._planned = {
            one.operation: one
            for one in plan.answer.operations
            if one.operation in self._operations
        }
        self._given = {
            one.operation
            for one in problem.committed
            if one.why in GIVEN and one.operation in self._operations
        }
        self._waits: dict[str, list[Wait]] = {}
        for wait in problem.waits:
            if wait.before in self._operations:
                self._waits.setdefault(wait.before, []).append(wait)
        self.finish = max(row.finish for row in self._planned.values())
        self._latest: dict[str, tuple[int, int]] = {}

    def latest_start(self, operation: str) -> int:
        """The last tick at which it may begin, never before its planned start."""
        return self._latest_of(operation)[0]

    def _latest_of(self, name: str) -> tuple[int, int]:
        """Latest start and finish; work that is given stays where it is."""
        if name not in self._latest:
            row = self._planned[name]
            found = (row.start, row.finish)
            if name not in self._given:
                found = max(found, self._back(self._operations[name], row))
            self._latest[name] = found
        return self._latest[name]

    def _back(self, operation: Operation, row: Planned) -> tuple[int, int]:
        start, finish = self.finish, self.finish
        for wait in self._waits.get(operation.id, ()):
            after = self._latest_of(wait.after)
            until = after[0] if wait.after_of == "start" else after[1]
            since = row.finish if wait.before_of == "end" else row.start
            least = self._clock.after_wait(wait, since) - since
            if wait.before_of == "end":
                finish = min(finish, until - least)
            else:
                start = min(start, until - least)
        for other, later in self._planned.items():
            if later.start >= row.finish and self._alone(operation, other):
                finish = min(finish, self._latest_of(other)[0])
        return self._placed(operation, row, start, finish)

    def _alone(self, operation: Operation, other: str) -> bool:
        """Whether two steps never overlap, as they touch a part that one has alone."""
        one = self._operations[other]
        if other == operation.id or not set(one.parts) & set(operation.parts):
            return False
        return one.exclusive_part or operation.exclusive_part

    def _placed(
        self, operation: Operation, row: Planned, start: int, finish: int
    ) -> tuple[int, int]:
        """The last place in its calendar that begins and ends early enough."""
        ticks = worked_ticks(row)
        if ticks == 0:
            length = row.finish - row.start
            at = min(start, finish - length)
            if operation.slots is not None:
                found = self._clock.last_start(operation, row, at + 1)
                at = row.start if found is None else found
            return at, at + length
        before = min(start, finish - ticks) + 1
        while True:
            found = self._clock.last_start(operation, row, before)
            if found is None or found <= row.start:
                return row.start, row.finish
            end = self._clock.segments(operation, row, found)[-1][1]
            if end <= finish:
                return found, end
            before = found
