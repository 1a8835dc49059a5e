"""Small problems drawn at random: plausible yards that try every rule at once.

`random_problem(seed)` is the way in; the same arguments give the same problem. Every
operation alone finds its crew, its shift and its slot. With `facts`, a plan is made
first and the clock set into the midst of it, so that done, begun and pinned work
agree with each other.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from random import Random

from scheduler.problem import Objective, Order, Part, Problem
from tests.scheduler.random_facts import in_the_midst
from tests.scheduler.random_routings import Routing, draw_routing
from tests.scheduler.random_yards import (
    CALENDARS,
    MONDAY,
    draw_molds,
    draw_places,
    draw_stations,
    draw_yard,
)


def random_problem(
    seed: int,
    boats: int | None = None,
    operations: int | None = None,
    *,
    tick_minutes: int | None = None,
    calendars: str | None = None,
    facts: bool = False,
    plain: bool = False,
) -> Problem:
    """Draw a problem.

    Parameters
    ----------
    seed : int
        Everything else follows from it.
    boats : int, optional
        Number of orders; 1 to 4 if not given.
    operations : int, optional
        Operations of a boat; 3 to 12 if not given.
    tick_minutes : int, optional
        15, 30 or 60 if not given.
    calendars : str, optional
        One of `random_yards.CALENDARS`; drawn if not given.
    facts : bool
        Whether some work is done, begun or pinned.
    plain : bool
        Short operations, and none of leave, outages, limited stations, arrivals, work
        without people or of no length: for tests that enumerate.
    """
    random = Random(seed)
    count = boats or random.randint(1, 4)
    tick = tick_minutes or random.choice((15, 30, 60))
    kind = calendars or random.choices(CALENDARS, (6, 2, 3, 1))[0]
    steps = [operations or random.randint(3, 12) for _ in range(random.choice((1, 2)))]
    days = 70 + 4 * count * max(steps)
    yard = draw_yard(random, tick, kind, days, plain=plain)
    stations = draw_stations(random, yard)
    routings = {
        f"model-{number}": draw_routing(random, length, yard, stations)
        for number, length in enumerate(steps)
    }
    orders = [
        _order(random, number, random.choice(sorted(routings)), routings)
        for number in range(count)
    ]
    parts = [
        _named_part(part, one.order)
        for one in orders
        for part in routings[one.model].parts
    ]
    model_of = {one.order: one.model for one in orders}
    molded = {(model_of[one.order], one.part) for one in parts if one.mold_from}
    problem = Problem(
        axis=yard.axis,
        now=0,
        week_start=1,
        delivery_calendar=yard.calendars[-1].id,
        frozen_until=0,
        buffer_days=2,
        calendars=yard.calendars,
        people=yard.people,
        molds=draw_molds(random, molded, yard),
        places=draw_places(random, parts, yard, set(model_of.values())),
        stations=stations,
        orders=tuple(orders),
        parts=tuple(parts),
        operations=tuple(
            replace(
                operation,
                id=f"{one.order}/{operation.code}",
                order=one.order,
                earliest=_arrival(random, yard.axis.ticks_per_day, plain),
            )
            for one in orders
            for operation in routings[one.model].operations
        ),
        waits=tuple(
            replace(
                wait,
                id=f"{one.order}/{wait.id}",
                before=f"{one.order}/{wait.before}",
                after=f"{one.order}/{wait.after}",
            )
            for one in orders
            for wait in routings[one.model].waits
        ),
        objective=Objective(
            ("tardiness", "overtime", "changes", "work_in_process", "leveling"),
            (0, 0, 0, 0, 0),
            mold_day_rate=3,
            place_day_rate=2,
            flow_day_rate=1,
        ),
    )
    return in_the_midst(problem, random) if facts else problem


def _arrival(random: Random, ticks_per_day: int, plain: bool) -> int:
    if plain or random.random() < 0.95:
        return 0
    return random.randrange(12 * ticks_per_day)


def _order(
    random: Random, number: int, model: str, routings: dict[str, Routing]
) -> Order:
    steps = len(routings[model].operations)
    due = MONDAY + timedelta(days=random.randint(1, 3 + steps + 2 * number))
    kind = random.choices(("promised", "wanted", "none"), (6, 3, 1))[0]
    return Order(
        order=f"O{number + 1}",
        kind="boat",
        model=model,
        release=0,
        promised=due.isoformat() if kind == "promised" else None,
        wanted=due.isoformat() if kind == "wanted" else None,
        weight=random.choice((0, 1, 1, 2, 3, 3, 6)),
    )


def _named_part(part: Part, order: str) -> Part:
    def named(code: str | None) -> str | None:
        return None if code is None else f"{order}/{code}"

    return replace(
        part,
        order=order,
        mold_from=named(part.mold_from),
        mold_to=named(part.mold_to),
        place_from=named(part.place_from),
        place_to=named(part.place_to),
    )
