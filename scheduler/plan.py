"""The answer block of a plan file, as frozen data (instants are ticks)."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

from scheduler.problem import Problem, Service, Span, Stint


@dataclass(frozen=True, slots=True)
class Planned:
    """Where an operation stands in the plan.

    `segments` are the worked spans: one for a one-go operation (a relieved break lies
    inside it), one per stretch between breaks and stops for a pausable one. For a
    started operation `start` is when it was begun and the segments are what remains.
    A done operation has no segments. `mold` is given on the operations that begin and
    end an occupation of a mold, `place` on those of a place.
    """

    operation: str
    start: int
    finish: int
    segments: tuple[Span, ...]
    crew: int
    people: tuple[Stint, ...]
    mold: str | None
    place: str | None


@dataclass(frozen=True, slots=True)
class Occupation:
    """The span for which a mold or place is taken by a part."""

    resource: str
    order: str
    part: str
    start: int
    finish: int


@dataclass(frozen=True, slots=True)
class OrderResult:
    """When an order is finished, what is proposed and how late that is."""

    order: str
    finish: int
    proposed: str | None  # local ISO date, where nothing was promised
    tardy_days: int  # unweighted, whole working days


@dataclass(frozen=True, slots=True)
class Level:
    """One level of the objective. `status`: proven | bounded | feasible."""

    name: str
    value: float
    bound: float | None
    status: str


@dataclass(frozen=True, slots=True)
class Move:
    """An operation inside the frozen window that facts made impossible to keep."""

    operation: str
    before: int
    after: int
    cause: str


@dataclass(frozen=True, slots=True)
class Overtime:
    """One person at work in a window of overtime.

    `person` None tells a window that is open for people whose regular time it is: they
    work there on its calendar, at no price.
    """

    window: str
    person: str | None
    start: int
    finish: int


@dataclass(frozen=True, slots=True)
class Answer:
    """A whole plan."""

    operations: tuple[Planned, ...]
    occupations: tuple[Occupation, ...]
    orders: tuple[OrderResult, ...]
    levels: tuple[Level, ...]
    moves: tuple[Move, ...] = ()
    services: tuple[Service, ...] = ()
    overtime: tuple[Overtime, ...] = ()


@dataclass(frozen=True)
class Plan:
    """A problem, its answer, and how the answer was made."""

    problem: Problem
    answer: Answer
    created: str
    versions: dict[str, str]
    seed: int
    budget: dict[str, float | int | None]
    inputs: dict[str, str]  # file name -> sha256
    method: str

    def operations_later(self, ticks: int) -> dict[str, Planned]:
        """Its operations, by id, on an axis that begins so many ticks earlier."""
        known = self._operations_later.get(ticks)
        if known is None:
            rows = self.answer.operations
            known = {one.operation: _later(one, ticks) for one in rows}
            self._operations_later[ticks] = known
        return known

    @cached_property
    def _operations_later(self) -> dict[int, dict[str, Planned]]:
        """Those given before: a problem is built several times around one plan."""
        return {}


def _later(one: Planned, ticks: int) -> Planned:
    return replace(
        one,
        start=one.start + ticks,
        finish=one.finish + ticks,
        segments=tuple((start + ticks, end + ticks) for start, end in one.segments),
        people=tuple(
            Stint(stint.person, stint.start + ticks, stint.finish + ticks)
            for stint in one.people
        ),
    )
