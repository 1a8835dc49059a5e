"""What a plan's problem says otherwise than the data is found, whatever it is."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from models.axis import Axis
from scheduler.checker import check
from scheduler.compare import compare
from scheduler.plan_file import plan_to_json, problem_from_json, problem_to_json
from scheduler.problem import Committed, Person, Problem, Span
from tests.scheduler.small_plan import overtime_plan, small_plan
from tests.scheduler.small_yard import at, small_problem

DATA = small_problem()


def change(name: str, position: int, **values: Any) -> Callable[[Problem], Problem]:
    """Make a change of one row of the plan's problem."""

    def apply(problem: Problem) -> Problem:
        rows = list(getattr(problem, name))
        rows[position] = replace(rows[position], **values)
        return replace(problem, **{name: tuple(rows)})

    return apply


def without(name: str, position: int) -> Callable[[Problem], Problem]:
    """Make a change that drops one row of the plan's problem."""

    def apply(problem: Problem) -> Problem:
        rows = list(getattr(problem, name))
        del rows[position]
        return replace(problem, **{name: tuple(rows)})

    return apply


def with_row(name: str, row: Any) -> Callable[[Problem], Problem]:
    """Make a change that adds a row to the plan's problem."""
    return lambda problem: replace(problem, **{name: (*getattr(problem, name), row)})


def pinned(operation: str, **values: Any) -> Committed:
    """What is given on an operation."""
    row = {"start": None, "finish": None, "mold": None, "place": None, "people": ()}
    return Committed(operation, **(row | {"why": "locked"} | values))


FIRST_CURE = next(i for i, one in enumerate(DATA.waits) if one.kind == "cure")
PHANTOM = Person("LM-99", ("laminate", "gel_coat"), DATA.people[0].available)
RIG = next(i for i, one in enumerate(DATA.operations) if one.skill == "rig")

CHANGES: dict[str, tuple[Callable[[Problem], Problem], tuple[str, ...]]] = {
    "wait dropped": (
        without("waits", FIRST_CURE),
        ("Wait (cure)", "B101/hull.laminate", "in the data, but not in the plan"),
    ),
    "wait added": (
        with_row("waits", replace(DATA.waits[0], kind="transport")),
        ("Wait (transport)", "B101/hull.prep", "in the plan, but not in the data"),
    ),
    "sequence dropped": (
        without("waits", 0),
        ("Wait (sequence) from end of B101/hull.prep", "not in the plan"),
    ),
    "data sheet and minimum changed together": (
        change("waits", FIRST_CURE, min_minutes=60, data_sheet_min_minutes=60),
        ("B101/hull.laminate", "data sheet min minutes is 60 in the plan and 3690"),
    ),
    "minimum changed": (
        change("waits", FIRST_CURE, min_minutes=3690),
        ("B101/hull.laminate", "min minutes is 3690 in the plan and 3750 in the data"),
    ),
    "activation energy dropped": (
        change("waits", FIRST_CURE, activation_kj_per_mol=None),
        ("B101/hull.laminate", "activation kj per mol is nothing in the plan"),
    ),
    "shop warmed": (
        change("temperature", 0, celsius=25.0),
        ("The plan: temperature is 2027-03-01, 25.0, 2027-03-20, 20.0 in the plan",),
    ),
    "bond window widened": (
        change("waits", 1, max_minutes=2880),
        ("Wait (bond)", "max minutes is 2880 in the plan and 1440 in the data"),
    ),
    "phantom person": (
        with_row("people", PHANTOM),
        ("Person LM-99 is in the plan, but not in the data",),
    ),
    "person left out": (
        without("people", 2),
        ("Person LM-03 is in the data, but not in the plan",),
    ),
    "skill made up": (
        change("people", 1, skills=("laminate", "gel_coat")),
        ("Person LM-02: skills is laminate, gel_coat in the plan", "laminate in the"),
    ),
    "leave ignored": (
        change("people", 1, available=DATA.people[0].available),
        ("Person LM-02 is available from 2027-03-12T06:00-05:00", "only in the plan"),
    ),
    "Saturday worked": (
        change(
            "calendars",
            1,
            open=(*DATA.calendars[1].open, (at("03-13 07:00"), at("03-13 12:00"))),
        ),
        ("Calendar shop is open from 2027-03-13T07:00-05:00", "only in the plan"),
    ),
    "breaks relieved": (
        change("calendars", 1, breaks_relieved=True),
        ("Calendar shop: breaks relieved is True in the plan and False in the data",),
    ),
    "mold outage forgotten": (
        change("molds", 0, unavailable=()),
        ("Mold H23-1 is unavailable from 2027-03-25T06:00-04:00", "only in the data"),
    ),
    "mold made to fit": (
        change("molds", 2, models=("tern-23", "tern-28")),
        ("Mold H28-1: models is tern-23, tern-28 in the plan",),
    ),
    "limit raised": (
        change("limits", 0, max=2),
        ("Limit hulls: max is 2 in the plan and 1 in the data",),
    ),
    "limit dropped": (
        without("limits", 0),
        ("Limit hulls is in the data, but not in the plan",),
    ),
    "service interval stretched": (
        change("molds", 1, service_every=50),
        ("Mold D23-1: service every is 50 in the plan and nothing in the data",),
    ),
    "bay for two": (
        change("places", 0, capacity=2),
        ("Place Bay 1: capacity is 2 in the plan and 1 in the data",),
    ),
    "booth without limit": (
        change("stations", 0, capacity=None),
        ("Station booth: capacity is nothing in the plan and 1 in the data",),
    ),
    "promise moved": (
        change("orders", 0, promised="2027-03-26"),
        ("Order B101: promised is 2027-03-26 in the plan and 2027-03-19",),
    ),
    "order left out": (
        without("orders", 1),
        ("Order B102 is in the data, but not in the plan",),
    ),
    "part that needs no mold": (
        change("parts", 0, mold_from=None, mold_to=None),
        ("Part B101 hull: mold from is nothing in the plan",),
    ),
    "fewer hours": (
        change("operations", RIG, labor_hours=27.5),
        ("Operation B101/final.rig: labor hours is 27.5 in the plan and 28 in the",),
    ),
    "arrival ignored": (
        change("operations", RIG, earliest=DATA.now),
        (
            "Operation B101/final.rig: earliest is 2027-03-08T00:00-05:00 in the plan",
            "2027-03-18T00:00-04:00 in the data",
        ),
    ),
    "demand dropped": (
        change("operations", 1, demands=()),
        ("Operation B101/hull.gel_coat: demands is nothing in the plan and booth, 1",),
    ),
    "operation left out": (
        without("operations", 3),
        ("Operation B101/hull.laminate is in the data, but not in the plan",),
    ),
    "fact made up": (
        with_row("committed", pinned("B102/hull.prep", why="done")),
        ("B102/hull.prep is done in the plan, but not in the data",),
    ),
    "fact left out": (
        without("committed", 0),
        ("B101/hull.prep is done in the data, but not in the plan",),
    ),
    "fact moved": (
        change("committed", 0, finish=at("03-05 11:00")),
        ("B101/hull.prep: finish is 2027-03-05T11:00-05:00 in the plan",),
    ),
    "start of started work moved": (
        change("committed", 1, start=at("03-05 14:00")),
        ("B101/deck.prep: start is 2027-03-05T14:00-05:00 in the plan",),
    ),
    "started in another mold": (
        change("committed", 1, mold="D23-2"),
        ("B101/deck.prep: mold is D23-2 in the plan and D23-1 in the data",),
    ),
    "started instead of done": (
        change("committed", 0, why="started"),
        ("B101/hull.prep: state is started in the plan and done in the data",),
    ),
    "lock moved": (
        change("committed", 3, start=at("03-09 09:30")),
        ("B101/deck.gel_coat: start is 2027-03-09T09:30-05:00 in the plan",),
    ),
    "lock without its people": (
        change("committed", 3, people=()),
        ("B101/deck.gel_coat: people is nothing in the plan and LM-03 in the data",),
    ),
    "weights of another yard": (
        lambda one: replace(one, objective=replace(one.objective, mold_day_rate=1)),
        ("The objective: mold day rate is 1 in the plan and 3 in the data",),
    ),
    "frozen window moved": (
        lambda one: replace(one, frozen_until=one.now),
        ("frozen until is 2027-03-08T00:00-05:00 in the plan and 2027-03-15T00:00",),
    ),
    "buffer shortened": (
        lambda one: replace(one, buffer_days=0),
        ("buffer days is 0 in the plan and 5 in the data",),
    ),
    "another zone": (
        lambda one: replace(one, axis=replace(one.axis, zone_name="America/Chicago")),
        ("The plan is in America/Chicago, the yard in America/New_York",),
    ),
    "other ticks": (
        lambda one: replace(one, axis=replace(one.axis, tick_minutes=30)),
        ("ticks of 30 minutes, the yard of 15",),
    ),
}


@pytest.mark.parametrize("name", CHANGES)
def test_a_difference_is_named(name: str) -> None:
    """Each change of the problem is told in one sentence that names it."""
    apply, words = CHANGES[name]
    sentences = compare(apply(DATA), DATA)
    told = [one for one in sentences if all(word in one for word in words)]
    assert told, "\n".join(sentences) or "no difference at all"


@pytest.mark.parametrize(
    "name",
    ["wait dropped", "phantom person", "data sheet and minimum changed together"],
)
def test_only_the_comparison_can_see_it(name: str) -> None:
    """A problem block that was changed and is kept passes the checker alone."""
    plan = small_plan()
    apply, _ = CHANGES[name]
    assert check(plan_to_json(replace(plan, problem=apply(plan.problem)))) == []


def test_the_same_problem_has_no_difference() -> None:
    """A problem read back from its file is the problem that the data give."""
    assert compare(problem_from_json(problem_to_json(DATA)), DATA) == []


def test_order_of_rows_and_names_of_waits_do_not_count() -> None:
    """The same rows in another order are no difference."""
    waits = tuple(replace(one, id=f"w{i}") for i, one in enumerate(DATA.waits))
    turned = replace(
        DATA,
        waits=waits[::-1],
        people=DATA.people[::-1],
        operations=tuple(
            replace(one, parts=one.parts[::-1]) for one in DATA.operations[::-1]
        ),
    )
    assert compare(turned, DATA) == []


def clipped(spans: tuple[Span, ...], last: int) -> tuple[Span, ...]:
    """Spans up to a tick."""
    return tuple((start, min(end, last)) for start, end in spans if start < last)


def test_a_shorter_horizon_is_no_difference() -> None:
    """How far the axis reaches is for the planner to choose."""
    last = at("04-05 10:00")
    shorter = replace(
        DATA,
        axis=replace(DATA.axis, ticks=last),
        calendars=tuple(
            replace(one, open=clipped(one.open, last), breaks=clipped(one.breaks, last))
            for one in DATA.calendars
        ),
        people=tuple(
            replace(one, available=clipped(one.available, last)) for one in DATA.people
        ),
    )
    assert compare(shorter, DATA) == []
    assert compare(DATA, shorter) == []


def test_what_an_earlier_plan_gave_is_no_difference() -> None:
    """Frozen and published work comes from an earlier plan, not from the data."""
    from_data = tuple(one for one in DATA.committed if one.why != "frozen")
    book = replace(DATA, committed=from_data, published=())
    assert compare(DATA, book) == []


def test_a_lock_that_an_earlier_plan_agrees_with_may_be_frozen() -> None:
    """A frozen entry may stand for a lock if it holds all that was pinned."""
    lock = DATA.committed[3]
    frozen = replace(lock, why="frozen", finish=lock.start, people=("LM-01", "LM-03"))
    rest = DATA.committed[:3]
    assert compare(replace(DATA, committed=(*rest, frozen)), DATA) == []
    other = replace(frozen, people=("LM-01",))
    assert compare(replace(DATA, committed=(*rest, other)), DATA) != []


def test_an_axis_that_begins_elsewhere_is_the_only_difference() -> None:
    """Instants are compared as instants, wherever the axis begins."""
    axis = DATA.axis
    earlier = Axis(axis.start - timedelta(days=7), 15, axis.ticks + 672, axis.zone_name)
    data = problem_to_json(DATA)
    moved = problem_from_json(data | {"start": earlier.iso(0)})
    (sentence,) = compare(moved, DATA)
    assert "axis of the plan begins 2027-02-22" in sentence


def test_overtime_is_compared() -> None:
    """Windows and limits must be those of the data; what stands in them may differ."""
    data = overtime_plan().problem
    (window,) = data.overtime
    assert (
        compare(replace(data, overtime=(replace(window, standing="opened"),)), data)
        == []
    )
    for changed, words in (
        (replace(data, overtime=()), "Overtime window early 1 is in the data, but not"),
        (
            replace(data, overtime=(replace(window, price_per_hour=1.0),)),
            "Overtime window early 1: price per hour is 1.0 in the plan and 40.0",
        ),
        (
            replace(data, overtime=(replace(window, people=("LM-01",)),)),
            "Overtime window early 1: people is LM-01 in the plan and LM-01, LM-03",
        ),
        (
            replace(
                data,
                overtime=(
                    replace(window, window=(window.window[0] - 1, at("03-12 06:00"))),
                ),
            ),
            "Overtime window early 1: from is 2027-03-12T03:45-05:00 in the plan",
        ),
        (
            replace(data, overtime_limits=data.overtime_limits[1:]),
            "Overtime limit of LM-01 is in the data, but not in the plan",
        ),
    ):
        (sentence,) = compare(changed, data)
        assert words in sentence


def test_a_window_beyond_one_axis_is_not_compared() -> None:
    """How far the axis reaches may differ, and so which windows lie on it."""
    data = overtime_plan().problem
    shorter = replace(data.axis, ticks=at("03-12 05:00"))
    assert compare(replace(data, axis=shorter, overtime=()), data) == []
