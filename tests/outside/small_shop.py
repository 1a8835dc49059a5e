"""Shops of a few lines for published and derived figures: one tick is one time unit."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import UTC, datetime

from models.axis import Axis
from scheduler.compiling.compile import compile_problem
from scheduler.cp_model.model import CpResult, solve
from scheduler.problem import (
    Calendar,
    Mold,
    Objective,
    Operation,
    Order,
    Part,
    Person,
    Place,
    Problem,
    Span,
    Station,
    Wait,
)

MONDAY = datetime(2027, 1, 4, tzinfo=UTC)
TICK = 60  # minutes; what a tick stands for is the test's business
SECONDS = 600.0  # a stop for a machine that hangs


def operation(
    order: str,
    code: str,
    ticks: int,
    *,
    skill: str | None = None,
    crew: tuple[int, int] | None = None,
    labor: int | None = None,
    one_go: bool = False,
) -> Operation:
    """Make an operation of so many ticks, or of so many ticks of labor."""
    low, high = crew or (1, 1)
    hours = (labor if labor is not None else ticks * low) * TICK / 60
    return Operation(
        id=f"{order}/{code}",
        order=order,
        parts=("boat",),
        code=code,
        station="floor",
        calendar="shop",
        skill=skill,
        crew_min=low if skill else 0,
        crew_max=high if skill else 0,
        labor_hours=hours if skill else 0.0,
        remaining_hours=None,
        duration_minutes=None if skill else ticks * TICK,
        one_go=one_go,
        exclusive_part=False,
        demands=(),
        earliest=0,
    )


def after(before: str, then: str, ticks: int = 0, most: int | None = None) -> Wait:
    """Let an operation start at least (and at most) so long after another's end."""
    return Wait(
        id=f"{before}>{then}",
        kind="cure" if ticks else "sequence",
        before=before,
        after=then,
        before_of="end",
        after_of="start",
        min_minutes=ticks * TICK,
        data_sheet_min_minutes=None,
        max_minutes=None if most is None else most * TICK,
        clock="wall",
    )


def shop(
    operations: Sequence[Operation],
    *,
    ticks: int,
    people: Sequence[Iterable[str]] = (),
    waits: Sequence[Wait] = (),
    parts: Sequence[Part] = (),
    molds: Sequence[str] = (),
    bays: int = 0,
    opened: tuple[Span, ...] | None = None,
) -> Problem:
    """Put a shop together; it never closes unless open spans are given."""
    ticks = max(ticks, 72)
    spans = opened or ((0, ticks),)
    orders = dict.fromkeys(one.order for one in operations)
    return Problem(
        axis=Axis(MONDAY, TICK, ticks, "UTC"),
        now=0,
        week_start=1,
        delivery_calendar="shop",
        frozen_until=0,
        buffer_days=0,
        calendars=(Calendar("shop", spans, (), False),),
        people=tuple(
            Person(f"P{number}", tuple(skills), spans)
            for number, skills in enumerate(people, start=1)
        ),
        molds=tuple(
            Mold(f"{part} mold {number}", part, ("boat",))
            for number, part in enumerate(molds, start=1)
        ),
        places=tuple(
            Place(f"Bay {number}", "bay", (), 1) for number in range(1, bays + 1)
        ),
        stations=(Station("floor", None),),
        orders=tuple(
            Order(name, "boat", "boat", 0, "2027-01-04", None, 1) for name in orders
        ),
        parts=tuple(parts),
        operations=tuple(operations),
        waits=tuple(waits),
        objective=Objective(("tardiness",), (0,), 3, 2, 1),
    )


def part(
    order: str, name: str, mold: tuple[str, str], bay: tuple[str, str] | None = None
) -> Part:
    """A part in its mold from one operation to the end of another; so in its bay."""
    return Part(
        order=order,
        part=name,
        mold_from=f"{order}/{mold[0]}",
        mold_to=f"{order}/{mold[1]}",
        place_kind=None if bay is None else "bay",
        place_from=None if bay is None else f"{order}/{bay[0]}",
        place_to=None if bay is None else f"{order}/{bay[1]}",
        place_to_of="end",
    )


def shortest(problem: Problem, workers: int = 1) -> tuple[int, CpResult]:
    """Prove the least makespan, in ticks."""
    result = solve(
        compile_problem(problem), hint=None, seconds=SECONDS, workers=workers, level=2
    )
    assert result.proven, result.status
    assert result.solution is not None
    makespan = int(result.solution.finish.max())
    assert result.bound == makespan
    return makespan, result
