"""Waits between two instants: their limits in ticks and the time that has passed."""

from __future__ import annotations

from bisect import bisect_right

from models.calendars import OpenTicks, open_ticks
from models.spans import Span, merge
from scheduler.curing import Curing
from scheduler.problem import Operation, Problem, Wait


def limits(wait: Wait, tick_minutes: int) -> tuple[int, int | None]:
    """The least ticks of a wait, rounded up, and the most to be kept, rounded down."""
    low = -(-wait.min_minutes // tick_minutes)
    most = wait.kept_maximum_minutes
    return low, None if most is None else most // tick_minutes


class WaitClock:
    """Counts what passes between two instants, on the wall or on a calendar."""

    def __init__(self, problem: Problem) -> None:
        self.axis = problem.axis
        self._calendars = {one.id: one for one in problem.calendars}
        self._curing = Curing(problem)
        self._look_ups: dict[str, OpenTicks] = {}
        self._usable: dict[str, tuple[Span, ...]] = {}

    def gap(self, wait: Wait, since: int, until: int) -> int:
        """Ticks from one instant to another on the wait's clock, negative if before."""
        if wait.clock == "wall" or wait.calendar is None:
            return until - since
        low, high = self._inside(since), self._inside(until)
        look_up = self._look_up(wait.calendar)
        if high < low:
            return -look_up.between(high, low)
        return look_up.between(low, high)

    def keeps(self, wait: Wait, since: int, until: int) -> bool:
        """Whether a wait from one instant to another is neither too short nor long."""
        low, high = limits(wait, self.axis.tick_minutes)
        gap = self.gap(wait, since, until)
        cured = self._curing.end(wait, since)
        long_enough = gap >= low if cured is None else until >= cured
        return long_enough and (high is None or gap <= high)

    def cured(self, wait: Wait, since: int) -> int | None:
        """When a cure ends that a cold shop lengthens; None for any other wait."""
        return self._curing.end(wait, since)

    def is_lost(self, wait: Wait, since: int, after: Operation) -> bool:
        """Whether `after` can no longer come before the maximum runs out."""
        _, most = limits(wait, self.axis.tick_minutes)
        return (
            most is not None and self.gap(wait, since, self.first_usable(after)) > most
        )

    def first_usable(self, operation: Operation) -> int:
        """The first instant, from its earliest on, at which an operation may begin.

        A break counts as usable: a one-go operation may run through a relieved one.
        """
        if operation.skill is None and not operation.duration_minutes:
            return operation.earliest
        name = operation.calendar
        if name not in self._usable:
            calendar = self._calendars[name]
            self._usable[name] = merge((*calendar.open, *calendar.breaks))
        spans = self._usable[name]
        index = bisect_right(spans, (operation.earliest, self.axis.ticks + 1)) - 1
        if index >= 0 and operation.earliest < spans[index][1]:
            return operation.earliest
        return spans[index + 1][0] if index + 1 < len(spans) else operation.earliest

    def _inside(self, tick: int) -> int:
        return min(max(tick, 0), self.axis.ticks)

    def _look_up(self, name: str) -> OpenTicks:
        if name not in self._look_ups:
            spans = self._calendars[name].open
            self._look_ups[name] = open_ticks(spans, self.axis.ticks)
        return self._look_ups[name]
