"""A yard so small that its sample figures can be worked out by hand."""

from __future__ import annotations

from datetime import date, time

from models.boat import BoatModel, Part, RoutingOperation, RoutingWait, WorkLine
from models.orders import Order
from models.yard import (
    Mold,
    ObjectiveRules,
    Person,
    Place,
    Shift,
    Skill,
    TradeCalendar,
    Yard,
)

MONDAY = date(2027, 3, 1)


def yard(
    people: tuple[tuple[str, ...], ...],
    molds: int = 1,
    holidays: tuple[date, ...] = (),
    leave: tuple[tuple[date, date], ...] = (),
    places: tuple[tuple[str, ...], ...] = ((),),
) -> Yard:
    """Build a yard of 7.75 open hours a day; `leave` is the first person's."""
    shift = Shift(
        days=(1, 2, 3, 4, 5),
        start=time(6),
        end=time(14, 30),
        breaks=((time(9), time(9, 15)), (time(12), time(12, 30))),
    )
    return Yard(
        name="small",
        time_zone="America/New_York",
        tick_minutes=15,
        as_of=MONDAY,
        delivery_calendar="shop",
        frozen_days=7,
        buffer_days=5,
        allowances={},
        calendars=(TradeCalendar("shop", (shift,), frozenset(holidays)),),
        skills=tuple(Skill(one, one, "shop") for one in ("laminate", "rig")),
        stations=(),
        molds=tuple(Mold(f"H-{n}", "hull", ("skiff",)) for n in range(1, molds + 1)),
        places=tuple(
            Place(f"Bay {n}", "bay", models) for n, models in enumerate(places, 1)
        ),
        people=tuple(
            Person(f"P-{n}", skills, "shop", leave if n == 1 else ())
            for n, skills in enumerate(people, 1)
        ),
        objective=ObjectiveRules(),
    )


def step(
    code: str, skill: str, hours: float, crew: tuple[int, int]
) -> RoutingOperation:
    """Build a step of fixed hours on the hull."""
    return RoutingOperation(
        code=code,
        name=code,
        parts=("hull",),
        station="floor",
        skill=skill,
        crew_min=crew[0],
        crew_max=crew[1],
        work=(WorkLine("work", "fixed", hours),),
    )


def model(name: str = "skiff") -> BoatModel:
    """Build a boat: 15.5 h of lay-up, 48 h of cure, 7.75 h to demold, 31 h to rig.

    The hull is in its mold from lay-up to demold, in its bay from demold to rig.
    """
    return BoatModel(
        id=name,
        name=name,
        length_ft=16,
        quantities={},
        parts=(Part("hull", "Hull", "lay", "demold", "bay", "demold", "rig", "end"),),
        operations=(
            step("lay", "laminate", 15.5, (1, 2)),
            step("demold", "laminate", 7.75, (1, 1)),
            step("rig", "rig", 31.0, (1, 4)),
        ),
        waits=(
            RoutingWait("cure", "lay", "demold", min_hours=48.0),
            RoutingWait("sequence", "demold", "rig"),
        ),
        options=(),
        graphics=(),
    )


def order(name: str = "A", of_model: str = "skiff") -> Order:
    """Build an order without dates."""
    return Order(name, "", of_model, (), None, None, None, None)
