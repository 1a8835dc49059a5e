"""Trials on the mini yard of the check values CV-88 and CV-89.

Source: check values CV-88 and CV-89 (derived there from the definition and proved by a
constraint solver): hull lay-up 2 d x 2 people in the hull mold, cure 2 d, the hull
stays in the mold until its bay starts; rig 3 d x 1 person; deck lay-up 1 d x 2 people,
cure 1 d in the deck mold; join 1 d x 2 people in the same bay; one pool of people.
"""

from __future__ import annotations

from datetime import date, time
from functools import lru_cache

import pytest

from models.boat import BoatModel, Part, RoutingOperation, RoutingWait, WorkLine
from models.orders import Book, Order
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
from scheduler.searching.search import Budget
from scheduler.trial import TrialResult, run_trial

DAY = 24.0
START = date(2027, 2, 1)


def step(code: str, part: str, people: int, days: float) -> RoutingOperation:
    """A step of so many days with so many people."""
    line = WorkLine(code, "fixed", days * DAY * people)
    return RoutingOperation(
        code, code, (part,), "floor", "hand", people, people, (line,)
    )


def model() -> BoatModel:
    """The one boat of the mini yard."""
    milestones = [
        RoutingOperation(
            code, code, (part,), "floor", None, 0, 0, (), duration_hours=0.0,
            calendar="always",
        )
        for code, part in (("hull.out", "hull"), ("deck.out", "deck"))
    ]  # fmt: skip
    return BoatModel(
        id="mini",
        name="Mini",
        length_ft=20,
        quantities={},
        parts=(
            Part(
                "hull", "Hull", "hull.lay", "hull.out", "bay", "hull.out", "join", "end"
            ),
            Part("deck", "Deck", "deck.lay", "deck.out"),
        ),
        operations=(
            step("hull.lay", "hull", 2, 2),
            milestones[0],
            step("rig", "hull", 1, 3),
            step("deck.lay", "deck", 2, 1),
            milestones[1],
            step("join", "hull", 2, 1),
        ),
        waits=(
            RoutingWait("cure", "hull.lay", "hull.out", min_hours=2 * DAY),
            RoutingWait("sequence", "hull.out", "rig", max_hours=0.0),
            RoutingWait("cure", "deck.lay", "deck.out", min_hours=DAY),
            RoutingWait("sequence", "deck.out", "join"),
            RoutingWait("sequence", "rig", "join"),
        ),
        options=(),
        graphics=(),
    )


def mini_book(boats: int, hulls: int, decks: int, bays: int, people: int) -> Book:
    """The mini yard with some boats, all wanted at once."""
    shift = Shift((1, 2, 3, 4, 5, 6, 7), time(0), time(0))
    yard = Yard(
        name="Mini yard",
        time_zone="UTC",
        tick_minutes=60,
        as_of=START,
        delivery_calendar="always",
        frozen_days=0,
        buffer_days=0,
        allowances={},
        calendars=(TradeCalendar("always", (shift,)),),
        skills=(Skill("hand", "Hand", "always"),),
        stations=(Station("floor", "Floor", "Floor"),),
        molds=(
            *(Mold(f"H{k}", "hull", ("mini",)) for k in range(hulls)),
            *(Mold(f"D{k}", "deck", ("mini",)) for k in range(decks)),
        ),
        places=tuple(Place(f"B{k}", "bay", ()) for k in range(bays)),
        people=tuple(Person(f"P{k}", ("hand",), "always") for k in range(people)),
        objective=ObjectiveRules(weight_unpromised=1),
    )
    orders = tuple(
        Order(f"M{k}", "", "mini", (), None, START, None, None) for k in range(boats)
    )
    return Book(yard, {"mini": model()}, orders)


@lru_cache
def trial(boats: int, *added: str, people: int = 3) -> TrialResult:
    """The mini yard (1, 1, 1, people) with additions, planned for the last finish."""
    return run_trial(
        mini_book(boats, 1, 1, 1, people),
        list(added),
        Budget(None, 3_500 * boats),
        goal="last-finish",
        seeds=1,
        workers=1,
    )


def last_finish(result: TrialResult) -> tuple[float, float]:
    """Days until the last boat is finished, before and after (medians)."""
    figure = next(one for one in result.measures if one.name == "last finish")
    return figure.before, figure.after


@pytest.mark.parametrize(
    ("boats", "days"), [(1, 8), (2, 12), (3, 16), (4, 20), (6, 28)]
)
@pytest.mark.parametrize("added", ["hull-mold:mini", "bay"])
def test_one_resource_alone_does_not_help(boats: int, days: int, added: str) -> None:
    """CV-88: (1,1,1,3), (2,1,1,3) and (1,1,2,3) all take 8, 12, 16, 20, 28 days."""
    result = trial(boats, added)
    assert last_finish(result) == (days, days)
    assert not result.measurable
    assert len(result.before.limited_by) > 1
    assert "no single limit" in result.before.text


@pytest.mark.parametrize(
    ("boats", "days"), [(1, 8), (2, 10), (3, 13), (4, 17), (6, 25)]
)
def test_the_pair_gains(boats: int, days: int) -> None:
    """CV-89: hull mold and bay together, (2,1,2,3), gain."""
    result = trial(boats, "hull-mold:mini", "bay")
    alone = {1: 8, 2: 12, 3: 16, 4: 20, 6: 28}
    assert last_finish(result) == (alone[boats], days)
    assert result.measurable == (boats > 1)


@pytest.mark.parametrize(("boats", "days"), [(1, 8), (2, 8), (3, 12), (4, 14), (6, 20)])
def test_then_one_more_person_gains(boats: int, days: int) -> None:
    """CV-89: with a fourth person the pair gains more, (2,1,2,4)."""
    result = trial(boats, "hull-mold:mini", "bay", "person:hand")
    assert last_finish(result)[1] == days


@pytest.mark.parametrize(("boats", "days"), [(1, 8), (2, 12), (3, 18), (4, 23)])
def test_two_people_bind(boats: int, days: int) -> None:
    """CV-89: with two people the pair ends at 8, 12, 18, 23 days, (2,1,2,2)."""
    assert last_finish(trial(boats, "hull-mold:mini", "bay", people=2))[1] == days
