"""When an operation of a plan could run, had it been begun at another time."""

from __future__ import annotations

from bisect import bisect_left
from typing import TYPE_CHECKING

from models.calendars import OpenTicks, open_ticks, relieved
from models.spans import Span, clip
from scheduler.curing import Curing

if TYPE_CHECKING:
    from scheduler.plan import Planned
    from scheduler.problem import Operation, Problem, Wait


class PlanClock:
    """Look-ups on the calendars of a problem, as operations see them."""

    def __init__(self, problem: Problem) -> None:
        self.axis = problem.axis
        self._calendars = {one.id: one for one in problem.calendars}
        self._curing = Curing(problem)
        self._look_ups: dict[tuple[str, bool], OpenTicks] = {}

    def first_start(
        self, operation: Operation, planned: Planned, at: int
    ) -> int | None:
        """The first instant from `at` on at which it could begin, None if never."""
        found = self._first_open(operation, planned, at)
        while found is not None and operation.slots is not None:
            slots = self._look_up(operation.slots, one_go=False)
            start = slots.next_open(min(max(found, 0), self.axis.ticks))
            if start is None or start == found:
                return start
            found = self._first_open(operation, planned, start)
        return found

    def _first_open(
        self, operation: Operation, planned: Planned, at: int
    ) -> int | None:
        ticks = worked_ticks(planned)
        if ticks == 0:
            return at
        look_up = self._of(operation)
        index = int(look_up.index_at[min(max(at, 0), self.axis.ticks)])
        while index + ticks <= len(look_up.tick_of):
            if not operation.one_go:
                return int(look_up.tick_of[index])
            last = index + ticks - 1
            gap = int(look_up.tick_of[last] - look_up.tick_of[index])
            if gap == ticks - 1:
                return int(look_up.tick_of[index])
            index = self._after_stop(look_up, index)
        return None

    def last_start(
        self, operation: Operation, planned: Planned, before: int
    ) -> int | None:
        """The last instant before `before` at which it could begin, None if never."""
        if worked_ticks(planned) == 0:
            at = before - 1
            while at >= 0 and self.first_start(operation, planned, at) != at:
                at -= 1
            return at if at >= 0 else None
        look_up = self._of(operation)
        index = int(look_up.index_at[min(max(before, 0), self.axis.ticks)]) - 1
        while index >= 0:
            at = int(look_up.tick_of[index])
            if self.first_start(operation, planned, at) == at:
                return at
            index -= 1
        return None

    def segments(
        self, operation: Operation, planned: Planned, start: int
    ) -> tuple[Span, ...]:
        """The spans that it would work if it began at a tick where it may."""
        ticks = worked_ticks(planned)
        if ticks == 0:
            return ()
        if operation.one_go:
            return ((start, start + ticks),)
        look_up = self._of(operation)
        index = int(look_up.index_at[start])
        worked = [int(one) for one in look_up.tick_of[index : index + ticks]]
        spans: list[Span] = []
        begin = before = worked[0]
        for tick in worked[1:]:
            if tick != before + 1:
                spans.append((begin, before + 1))
                begin = tick
            before = tick
        return (*spans, (begin, before + 1))

    def open_part(self, operation: Operation, span: Span) -> tuple[Span, ...]:
        """A span without breaks, in which people need not be there."""
        opened = self._calendars[operation.calendar].open
        first = max(0, bisect_left(opened, (span[0] + 1,)) - 1)
        return clip(opened[first : bisect_left(opened, (span[1],))], *span)

    def after_wait(self, wait: Wait, since: int) -> int:
        """The first instant that a wait's minimum allows."""
        cured = self._curing.end(wait, since)
        if cured is not None:
            return min(cured, self.axis.ticks)
        ticks = -(-wait.min_minutes // self.axis.tick_minutes)
        if wait.clock == "wall" or wait.calendar is None or ticks == 0:
            return since + ticks
        look_up = self._look_up(wait.calendar, one_go=False)
        last = int(look_up.index_at[min(max(since, 0), self.axis.ticks)]) + ticks - 1
        if last >= len(look_up.tick_of):
            return self.axis.ticks
        return int(look_up.tick_of[last]) + 1

    def _of(self, operation: Operation) -> OpenTicks:
        return self._look_up(operation.calendar, operation.one_go)

    def _look_up(self, name: str, one_go: bool) -> OpenTicks:
        key = (name, one_go)
        if key not in self._look_ups:
            calendar = self._calendars[name]
            spans = calendar.open
            if one_go and calendar.breaks_relieved:
                spans = relieved(calendar.open, calendar.breaks)
            self._look_ups[key] = open_ticks(spans, self.axis.ticks)
        return self._look_ups[key]

    def _after_stop(self, look_up: OpenTicks, index: int) -> int:
        """The index of the first open tick after the next gap."""
        while (
            index + 1 < len(look_up.tick_of)
            and look_up.tick_of[index + 1] == look_up.tick_of[index] + 1
        ):
            index += 1
        return index + 1


def worked_ticks(planned: Planned) -> int:
    """Ticks that an operation works in the plan."""
    return sum(end - start for start, end in planned.segments)
