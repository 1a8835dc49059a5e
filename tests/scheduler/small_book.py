"""A book small enough to know by heart: one model, two boats, five people.

Invented for the tests; the hull is prepared, gelled and laminated in its mold, cures
for 48 hours, is demolded to a bay and rigged there.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time
from typing import Any

from models.boat import (
    AddedWork,
    BoatModel,
    BoatOption,
    Graphic,
    GraphicColor,
    Part,
    RoutingOperation,
    RoutingWait,
    WorkLine,
)
from models.orders import Book, InHand, Order
from models.yard import (
    Mold,
    ObjectiveRules,
    Person,
    Place,
    Shift,
    Skill,
    Station,
    TradeCalendar,
    Yard,
)

AS_OF = date(2026, 11, 30)  # a Monday
WEEK = (1, 2, 3, 4, 5)


def clock(text: str) -> datetime:
    """Read a local minute."""
    return datetime.fromisoformat(text)


def small_yard(**changes: Any) -> Yard:
    """Build the yard, with changes."""
    shift = Shift(WEEK, time(6), time(14, 30), ((time(9), time(9, 30)),))
    holidays = frozenset({date(2026, 12, 25)})
    yard = Yard(
        name="Test yard",
        time_zone="America/New_York",
        tick_minutes=15,
        as_of=AS_OF,
        delivery_calendar="shop",
        frozen_days=7,
        buffer_days=5,
        allowances={"shop": 0.25},
        calendars=(
            TradeCalendar("shop", (shift,), holidays),
            TradeCalendar("lamination", (shift,), holidays, breaks_relieved=True),
        ),
        skills=(
            Skill("laminate", "Lamination", "lamination"),
            Skill("rig", "Rigging", "shop"),
        ),
        stations=(
            Station("booth", "Spray booth", "Lamination", 1),
            Station("floor", "Lay-up floor", "Lamination"),
            Station("hoist", "Hoist", "Moves", 2),
            Station("bays", "Rigging bays", "Rigging"),
        ),
        molds=(Mold("H1", "hull", ("wren",)), Mold("H2", "hull", ("wren",))),
        places=(Place("Bay 1", "bay", ()), Place("Bay 2", "bay", ("other",))),
        people=(
            Person("L1", ("laminate",), "lamination"),
            Person("L2", ("laminate",), "lamination"),
            Person("L3", ("laminate", "rig"), "lamination"),
            Person("R1", ("rig",), "shop", ((date(2026, 12, 3), date(2026, 12, 4)),)),
            Person("R2", ("rig",), "shop"),
        ),
        objective=ObjectiveRules(),
    )
    return replace(yard, **changes)


def step(code: str, skill: str | None, station: str, hours: float, **more: Any) -> Any:
    """Make a step of the routing with fixed hours."""
    work = (WorkLine("Do it", "fixed", hours),) if skill else ()
    values: dict[str, Any] = {
        "code": code,
        "name": code,
        "parts": ("hull",),
        "station": station,
        "skill": skill,
        "crew_min": 1 if skill else 0,
        "crew_max": 2 if skill else 0,
        "work": work,
    }
    return RoutingOperation(**(values | more))


def small_model(**changes: Any) -> BoatModel:
    """Build the model, its steps listed out of order on purpose."""
    model = BoatModel(
        id="wren",
        name="Wren",
        length_ft=20,
        quantities={"hull_area_m2": 20.0},
        parts=(
            Part("hull", "Hull", "prep", "demold", "bay", "demold", "rig", "end"),
            Part("liner", "Liner"),
        ),
        operations=(
            step("rig", "rig", "bays", 40),
            step("prep", "laminate", "floor", 4),
            step("gel_coat", "laminate", "booth", 3, one_go=True, exclusive_part=True),
            step("skin", "laminate", "floor", 8, one_go=True, allowance="shop"),
            step("demold", "laminate", "floor", 4, demands=(("hoist", 2),)),
            step("soak", None, "floor", 0, duration_hours=1.1),
            step("tower", "rig", "bays", 6, when="tower"),
        ),
        waits=(
            RoutingWait("sequence", "prep", "gel_coat"),
            RoutingWait("bond", "gel_coat", "skin", min_hours=3, max_hours=24),
            RoutingWait(
                "cure", "skin", "demold", min_hours=48, data_sheet_min_hours=48
            ),
            RoutingWait("sequence", "demold", "soak"),
            RoutingWait("sequence", "soak", "rig"),
            RoutingWait("sequence", "rig", "tower", min_hours=4, clock="work"),
        ),
        options=(
            BoatOption(
                "tower",
                "Tower",
                adds=(AddedWork("rig", WorkLine("Wire the tower", "fixed", 5)),),
            ),
        ),
        graphics=(
            Graphic(
                id="stripe",
                name="Stripe",
                part="hull",
                after="prep",
                before="gel_coat",
                colors=(GraphicColor("red", 2.0, 10.0),),
                station="booth",
                skill="laminate",
                crew_min=1,
                crew_max=2,
                mask_hours_per_m=0.1,
                spray_hours_per_m2=0.5,
                spray_fixed_hours=0.5,
                unmask_hours_per_m=0.05,
                tack_min_hours=1,
                tack_max_hours=12,
                window_max_hours=30,
            ),
        ),
    )
    return replace(model, **changes)


def boat(name: str, **changes: Any) -> Order:
    """Make an order of the small model."""
    order = Order(name, "C", "wren", (), None, None, None, None)
    return replace(order, **changes)


def done(order: str, code: str, start: str, finish: str, **more: Any) -> InHand:
    """Record an operation as done."""
    row = InHand(order, code, "done", clock(start), clock(finish), None, None, None)
    return replace(row, **more)


def begun(order: str, code: str, start: str, hours: float, **more: Any) -> InHand:
    """Record an operation as started, with hours that remain."""
    row = InHand(order, code, "started", clock(start), None, hours, None, None)
    return replace(row, **more)


def small_book(**changes: Any) -> Book:
    """Build the book: B1 promised, B2 only wanted and with the option."""
    book = Book(
        yard=small_yard(),
        models={"wren": small_model()},
        orders=(
            boat("B1", promised=date(2026, 12, 18), wanted=date(2026, 12, 1), weight=2),
            boat("B2", options=("tower",), wanted=date(2027, 1, 8)),
        ),
    )
    return replace(book, **changes)
