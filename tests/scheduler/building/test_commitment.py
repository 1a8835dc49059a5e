"""A committed plan stands still, but for what facts make impossible."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from models.errors import UsageError
from models.orders import Arrival, Book, Lock, Rework
from models.standards import StepStandard
from models.yard import Outage
from scheduler.building.build import build_problem
from scheduler.building.commitment import FOLLOWS, INSERTED, Standing, standing
from scheduler.plan import Planned
from scheduler.problem import Committed, Problem
from tests.scheduler.one_by_one import OneByOne
from tests.scheduler.small_book import (
    AS_OF,
    begun,
    boat,
    clock,
    done,
    small_book,
    small_yard,
)

BOOK = small_book()
PLAN = OneByOne(build_problem(BOOK)).plan()
PLANNED = {one.operation: one for one in PLAN.answer.operations}


def local(tick: int) -> str:
    """Give the local time of a tick of the plan, as a CSV file has it."""
    return PLAN.problem.axis.iso(tick)[:16]


def committed(problem: Problem) -> dict[str, Committed]:
    """List commitments by operation."""
    return {one.operation: one for one in problem.committed}


def stand(**changes: Any) -> Standing:
    """Hold the plan against a changed book."""
    problem = build_problem(replace(BOOK, **changes))
    return standing(problem, PLAN)


def test_everything_planned_is_frozen_as_it_was() -> None:
    """Start, finish, mold, place, crew and people of every operation stand."""
    problem = build_problem(BOOK, committed=PLAN)
    entries = committed(problem)
    assert set(entries) == set(PLANNED)
    for name, one in PLANNED.items():
        entry = entries[name]
        assert entry.why == "frozen"
        assert (entry.start, entry.finish) == (one.start, one.finish)
        assert (entry.mold, entry.place, entry.crew) == (one.mold, one.place, one.crew)
        assert entry.stints == one.people
        assert entry.people == tuple(stint.person for stint in one.people)
    assert [one.operation for one in problem.published] == list(PLANNED)
    assert all(
        (one.start, one.people)
        == (PLANNED[one.operation].start, entries[one.operation].people)
        for one in problem.published
    )


def test_new_orders_are_free_around_what_stands() -> None:
    """An order that the plan does not know is not bound by it."""
    problem = build_problem(
        replace(BOOK, orders=(*BOOK.orders, boat("B3"))), committed=PLAN
    )
    assert set(committed(problem)) == set(PLANNED)
    assert {one.order for one in problem.operations} == {"B1", "B2", "B3"}


def test_rearranging_freezes_only_the_frozen_window() -> None:
    """When the plan may be rearranged, only what starts in the window stands."""
    problem = build_problem(BOOK, committed=PLAN, rearrange=True)
    inside = {name for name, one in PLANNED.items() if one.start < problem.frozen_until}
    assert set(committed(problem)) == inside
    assert 0 < len(inside) < len(PLANNED)
    assert len(problem.published) == len(PLANNED)


def test_a_withdrawn_order_leaves_no_trace() -> None:
    """An order that left the book is neither bound nor published."""
    problem = build_problem(replace(BOOK, orders=BOOK.orders[:1]), committed=PLAN)
    names = set(committed(problem)) | {one.operation for one in problem.published}
    assert names == {name for name in PLANNED if name.startswith("B1/")}


def test_a_changed_order_is_planned_anew() -> None:
    """An order with other options is published but not bound."""
    order = replace(BOOK.orders[1], options=())
    given = stand(orders=(BOOK.orders[0], order))
    assert {one.operation for one in given.committed} == {
        name for name in PLANNED if name.startswith("B1/")
    }
    assert set(given.moved.values()) == {"the order's model or steps have changed"}
    assert "B2/prep" in {one.operation for one in given.published}


def test_a_step_with_another_standard_moves_alone_with_what_follows() -> None:
    """Steps before it stand, and so does everything else."""
    models = {
        name: replace(one, standards=(StepStandard("rig", 2.0, 6),))
        for name, one in BOOK.models.items()
    }
    given = stand(models=models)
    assert given.moved["B1/rig"] == "its labor hours have changed"
    assert set(given.moved.values()) == {"its labor hours have changed", FOLLOWS}
    assert "B1/demold" in {one.operation for one in given.committed}


@given(st.integers(0, 3), st.integers(-300, 60))
def test_a_plan_stands_at_the_same_instants_on_another_axis(
    weeks: int, days: int
) -> None:
    """Commitments keep their instants when the axis begins elsewhere."""
    due = AS_OF + timedelta(days=days)
    orders = tuple(replace(one, promised=due) for one in BOOK.orders)
    yard = small_yard(frozen_days=7 * weeks)
    problem = build_problem(
        replace(BOOK, orders=orders, yard=yard), committed=PLAN, horizon_days=1
    )
    assert len(problem.committed) == len(PLANNED)
    for entry in problem.committed:
        start = problem.axis.iso(entry.start or 0)
        assert start == PLAN.problem.axis.iso(PLANNED[entry.operation].start)
        assert (entry.finish or 0) <= problem.axis.ticks


def test_steps_of_another_length_cannot_be_compared() -> None:
    """A plan in other ticks is refused with one clear line."""
    book = replace(BOOK, yard=small_yard(tick_minutes=30))
    with pytest.raises(UsageError, match=r"steps of 15 minutes.*steps of 30"):
        build_problem(book, committed=PLAN)


def next_day(*in_hand: Any, **changes: Any) -> Book:
    """Give the book one day later, with facts."""
    yard = small_yard(as_of=AS_OF + timedelta(days=1))
    return replace(BOOK, yard=yard, in_hand=in_hand, **changes)


def row(name: str, finish: str | None = None) -> Any:
    """Record an operation as done, as it was planned unless told otherwise."""
    order, code = name.split("/")
    one = PLANNED[name]
    return done(
        order,
        code,
        local(one.start),
        finish or local(one.finish),
        mold=one.mold,
        place=one.place,
    )


def test_what_was_done_as_planned_moves_nothing() -> None:
    """Facts that follow the plan replace its commitments and free nothing."""
    names = [name for name, one in PLANNED.items() if one.finish <= 96]
    problem = build_problem(next_day(*map(row, names)), committed=PLAN)
    entries = committed(problem)
    assert {name for name in entries if entries[name].why == "done"} == set(names)
    assert {name for name in entries if entries[name].why == "frozen"} == (
        set(PLANNED) - set(names)
    )


def test_what_should_have_begun_and_did_not_moves_with_what_follows() -> None:
    """Yesterday's work that nobody recorded is free, and so is what waits for it."""
    given = standing(build_problem(next_day()), PLAN)
    today = build_problem(next_day()).now
    late = {name for name, one in PLANNED.items() if one.start < today}
    assert late
    for name in late:
        assert given.moved[name] == (
            "it was planned before today and is not recorded as begun"
        )
    b1 = {name for name in PLANNED if name.startswith("B1/")}
    assert set(given.moved) == b1
    assert given.moved["B1/rig"] == FOLLOWS
    assert {one.operation for one in given.committed} == set(PLANNED) - b1


def test_a_cure_that_began_late_moves_what_follows() -> None:
    """Work whose cure would be cut short by a late finish does not stand."""
    names = ["B1/prep", "B1/gel_coat", "B1/skin"]
    assert all(PLANNED[name].finish < 3 * 96 for name in names)
    yard = small_yard(as_of=AS_OF + timedelta(days=3))
    skin = PLANNED["B1/skin"]
    demold = PLANNED["B1/demold"]
    gap = (demold.start - skin.finish) * 15 - 2880
    rows = [row(name) for name in names[:2]]
    for extra, moves in ((gap, False), (gap + 15, True)):
        finish = clock(local(skin.finish)) + timedelta(minutes=extra)
        late = (*rows, row("B1/skin", finish.isoformat()))
        problem = build_problem(replace(BOOK, yard=yard, in_hand=late))
        moved = standing(problem, PLAN).moved
        assert ("B1/demold" in moved) == moves
    assert moved["B1/demold"] == "what it waits for was done later than planned"


def started_rig(remaining: float) -> Standing:
    """Hold the plan against a day on which rigging of the first boat is under way."""
    names = [name for name in PLANNED if name.startswith("B1/") and name != "B1/rig"]
    rig = PLANNED["B1/rig"]
    day = PLAN.problem.axis.local(rig.start).date() + timedelta(days=1)
    rows = [*map(row, names), begun("B1", "rig", local(rig.start), remaining)]
    rows[-1] = replace(rows[-1], mold=None)
    yard = small_yard(as_of=day)
    problem = build_problem(replace(BOOK, yard=yard, in_hand=tuple(rows)))
    return standing(problem, PLAN)


def remaining_hours() -> float:
    """Hours of the first boat's rigging that the plan leaves for the next day on."""
    rig = PLANNED["B1/rig"]
    midnight = (rig.start // 96 + 1) * 96
    ticks = sum(end - start for start, end in rig.segments if start >= midnight)
    return rig.crew * ticks / 4


def test_started_work_that_is_on_plan_keeps_finish_and_people() -> None:
    """What began as planned, with the hours planned for the rest, stays as planned."""
    given = started_rig(remaining_hours())
    rig = PLANNED["B1/rig"]
    entry = next(one for one in given.committed if one.operation == "B1/rig")
    problem_start = entry.start
    assert entry.why == "started"
    assert entry.crew == rig.crew
    assert problem_start is not None
    assert entry.finish == problem_start + rig.finish - rig.start
    assert entry.people == tuple(stint.person for stint in rig.people)
    assert entry.stints[0].start > problem_start  # only what remains is given
    # From where the work goes on, not from the midnight before it.
    assert entry.stints[0].start in {start for start, _ in rig.segments}
    assert "B1/rig" not in given.moved


def test_started_work_with_more_left_than_planned_is_free() -> None:
    """What has more hours left than the plan gives it is planned anew."""
    given = started_rig(remaining_hours() + 1)
    assert given.moved["B1/rig"] == "what remains of it differs from the plan"


def test_late_items_move_what_needs_them() -> None:
    """Work planned before its item arrives does not stand, nor what follows it."""
    late = PLAN.problem.axis.local(PLANNED["B2/rig"].start).date() + timedelta(days=3)
    given = stand(arrivals=(Arrival("B2", "rig", "engine", late, None, None),))
    assert given.moved == {
        "B2/rig": f"its items or its release keep it until {late}",
        "B2/tower": FOLLOWS,
    }


def test_people_who_left_or_are_away_move_their_work() -> None:
    """Work of someone who is gone, on leave or no longer skilled does not stand."""
    yard = small_yard()
    first = PLANNED["B1/prep"].people[0].person
    index = next(n for n, one in enumerate(yard.people) if one.id == first)
    person = yard.people[index]

    def with_people(*new: Any) -> dict[str, str]:
        people = (*yard.people[:index], *new, *yard.people[index + 1 :])
        return stand(yard=small_yard(people=people)).moved

    assert with_people()["B1/prep"] == f"{first} does not work here any more"
    rigger = replace(person, skills=("rig",))
    assert with_people(rigger)["B1/prep"] == f"{first} is not down for laminate"
    away = replace(person, leave=((AS_OF, AS_OF),))
    moved = with_people(away)
    assert moved["B1/prep"] == f"{first} is away"
    assert "B2/prep" not in moved


def test_a_crew_that_is_not_led_any_more_moves_its_work() -> None:
    """Work of somebody who is only an apprentice now stands beside others alone."""
    yard, crew = small_yard(), [one.person for one in PLANNED["B1/prep"].people]

    def learning(names: list[str]) -> dict[str, str]:
        people = (
            replace(one, skills=(), apprentice_in=one.skills)
            if one.id in names
            else one
            for one in yard.people
        )
        return stand(yard=small_yard(people=tuple(people))).moved

    told = "its crew has too few with the skill laminate in full"
    assert learning(crew)["B1/prep"] == told
    several = next(one for one in PLANNED.values() if len(one.people) > 1)
    moved = learning([one.person for one in several.people][1:])
    assert moved.get(several.operation) is None, "one of them leads"


def test_a_resource_that_is_out_of_use_moves_its_work() -> None:
    """Work on a mold or place that is gone or out does not stand."""
    yard = small_yard()
    gone = stand(yard=small_yard(molds=yard.molds[1:])).moved
    assert gone["B1/prep"] == "H1 is not there any more"
    demold = PLANNED["B2/demold"]
    outage = Outage(clock(local(demold.start)), clock(local(demold.finish)))
    places = (replace(yard.places[0], outages=(outage,)), yard.places[1])
    moved = stand(yard=small_yard(places=places)).moved
    assert moved["B2/demold"] == "Bay 1 is out of use"
    assert "B1/demold" not in moved


def test_a_new_holiday_moves_the_work_of_that_day() -> None:
    """Work planned on a day that has since been closed does not stand."""
    yard = small_yard()
    closed = frozenset({AS_OF})
    calendars = tuple(replace(one, holidays=closed) for one in yard.calendars)
    moved = stand(yard=small_yard(calendars=calendars)).moved
    assert moved["B1/prep"] == "calendar lamination has changed"


def test_the_planners_pin_outweighs_the_plan() -> None:
    """A lock that says otherwise frees the operation for it."""
    one = PLANNED["B2/prep"]
    agrees = Lock("B2", "prep", clock(local(one.start)), one.mold)
    problem = build_problem(replace(BOOK, locks=(agrees,)), committed=PLAN)
    assert committed(problem)["B2/prep"].why == "frozen"
    other = replace(agrees, mold="H2")
    problem = build_problem(replace(BOOK, locks=(other,)), committed=PLAN)
    entry = committed(problem)["B2/prep"]
    assert (entry.why, entry.mold) == ("locked", "H2")
    assert "B2/gel_coat" not in committed(problem)


def test_relieved_breaks_inside_one_go_work_are_no_objection() -> None:
    """A one-go operation planned through a relieved break stands."""
    problem = PLAN.problem
    skin = next(one for one in problem.operations if one.id == "B1/skin")
    lamination = problem.calendars[1]
    start, middle = next(
        (a, b)
        for a, b in lamination.open
        if (b, b + 2) in lamination.breaks and a >= 96
    )
    through = Planned(
        skin.id,
        start,
        middle + 10,
        ((start, middle + 10),),
        1,
        (replace(PLANNED["B1/skin"].people[0], start=start, finish=middle + 10),),
        None,
        None,
    )
    answers = tuple(
        through if one.operation == skin.id else one for one in PLAN.answer.operations
    )
    plan = replace(PLAN, answer=replace(PLAN.answer, operations=answers))
    assert "B1/skin" not in standing(problem, plan).moved


def test_the_day_of_a_cause_is_named_in_local_time() -> None:
    """A release after the planned start is named by its local date."""
    orders = (replace(BOOK.orders[0], release=date(2026, 12, 2)), BOOK.orders[1])
    moved = stand(orders=orders).moved
    assert moved["B1/prep"] == "its items or its release keep it until 2026-12-02"


def test_rework_moves_what_waits_for_it_and_nothing_else() -> None:
    """An operation that was put in frees its followers; the others stand."""
    rework = Rework("skin.rework1", "Soft", "skin", "skin", 2.0)
    order = replace(BOOK.orders[0], rework=(rework,))
    given = stand(orders=(order, BOOK.orders[1]))
    assert given.moved["B1/demold"] == INSERTED
    stood = {one.operation for one in given.committed}
    assert {"B1/prep", "B1/gel_coat", "B1/skin"} <= stood
    assert {name for name in PLANNED if name.startswith("B2/")} <= stood
    assert set(given.moved) == set(PLANNED) - stood
