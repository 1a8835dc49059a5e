"""A plan that anyone can follow: one operation after another, nothing side by side.

Slow and wasteful, and it knows no maximum wait, work clock or objective.
"""

from __future__ import annotations

from collections.abc import Iterable

from scheduler.plan import Answer, Level, Occupation, OrderResult, Plan, Planned
from scheduler.problem import Operation, Problem, Span, Stint


def ticks_of(spans: Iterable[Span]) -> set[int]:
    """Give the set of ticks that spans cover."""
    return {tick for start, end in spans for tick in range(start, end)}


def runs(ticks: list[int]) -> tuple[Span, ...]:
    """Join ticks into spans."""
    out: list[Span] = []
    for tick in ticks:
        if out and out[-1][1] == tick:
            out[-1] = (out[-1][0], tick + 1)
        else:
            out.append((tick, tick + 1))
    return tuple(out)


class OneByOne:
    """Plans a problem without facts."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.planned: dict[str, Planned] = {}
        self.at = problem.now
        self.open = {one.id: ticks_of(one.open) for one in problem.calendars}

    def plan(self) -> Plan:
        """Place every operation and wrap the answer up."""
        for operation in self.problem.operations:
            one = self._place(operation)
            self.planned[operation.id] = one
            self.at = one.finish
        finish = {
            order.order: max(
                one.finish
                for name, one in self.planned.items()
                if name.startswith(f"{order.order}/")
            )
            for order in self.problem.orders
        }
        answer = Answer(
            operations=tuple(self.planned.values()),
            occupations=tuple(self._occupations()),
            orders=tuple(OrderResult(o, at, None, 0) for o, at in finish.items()),
            levels=(Level("tardiness", 0, None, "feasible"),),
        )
        return Plan(self.problem, answer, "", {}, 0, {}, {}, "one by one")

    def _place(self, operation: Operation) -> Planned:
        start = max(self.at, operation.earliest)
        for wait in self.problem.waits:
            if wait.after == operation.id and wait.clock == "wall":
                before = self.planned[wait.before]
                since = before.start if wait.before_of == "start" else before.finish
                start = max(start, since - -wait.min_minutes // 15)
        if operation.skill is None:
            need = -(-(operation.duration_minutes or 0) // 15)
            crew = 0
        else:
            crew = operation.crew_max
            need = -(-round(operation.labor_hours * 60) // (crew * 15))
        opened = self.open[operation.calendar]
        while True:
            ticks = [t for t in range(start, start + 4000) if t in opened][:need]
            people = self._people(operation, ticks, crew)
            whole = ticks[-1] - ticks[0] + 1 == need
            if len(people) == crew and (whole or not operation.one_go):
                break
            start = next(t for t in range(ticks[0] + 1, start + 4000) if t in opened)
        begin, end = ticks[0], ticks[-1] + 1
        mold, place = self._where(operation)
        stints = tuple(Stint(name, begin, end) for name in people)
        return Planned(operation.id, begin, end, runs(ticks), crew, stints, mold, place)

    def _people(self, operation: Operation, ticks: list[int], crew: int) -> list[str]:
        return [
            one.id
            for one in self.problem.people
            if operation.skill in one.skills and set(ticks) <= ticks_of(one.available)
        ][:crew]

    def _where(self, operation: Operation) -> tuple[str | None, str | None]:
        mold = place = None
        for part in self.problem.parts:
            if operation.id in (part.mold_from, part.mold_to):
                mold = self.problem.molds[0].id
            if operation.id in (part.place_from, part.place_to):
                place = self.problem.places[0].id
        return mold, place

    def _occupations(self) -> Iterable[Occupation]:
        for part in self.problem.parts:
            for first, last in (
                (part.mold_from, part.mold_to),
                (part.place_from, part.place_to),
            ):
                if first is not None and last is not None:
                    begin, end = self.planned[first], self.planned[last]
                    name = begin.mold if first == part.mold_from else begin.place
                    yield Occupation(
                        name or "", part.order, part.part, begin.start, end.finish
                    )
