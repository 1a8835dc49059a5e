"""Two plans compared, against a plan laid out by hand."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta

from models.axis import Axis
from scheduler.difference import Difference, PersonChange, difference
from scheduler.plan import OrderResult, Plan, Planned
from scheduler.plan_file import plan_from_json, plan_to_json
from scheduler.problem import Stint
from tests.scheduler.small_plan import small_plan
from tests.scheduler.small_yard import at, spans

PLAN = small_plan()


def with_operation(plan: Plan, name: str, change: Callable[[Planned], Planned]) -> Plan:
    """The same plan with one operation otherwise."""
    operations = tuple(
        change(one) if one.operation == name else one for one in plan.answer.operations
    )
    assert operations != plan.answer.operations
    return replace(plan, answer=replace(plan.answer, operations=operations))


def with_result(plan: Plan, result: OrderResult) -> Plan:
    """The same plan with another finish of one boat."""
    orders = tuple(
        result if one.order == result.order else one for one in plan.answer.orders
    )
    return replace(plan, answer=replace(plan.answer, orders=orders))


def with_promise(plan: Plan, order: str, promised: str | None) -> Plan:
    """The same plan with another date promised."""
    orders = tuple(
        replace(one, promised=promised) if one.order == order else one
        for one in plan.problem.orders
    )
    return replace(plan, problem=replace(plan.problem, orders=orders))


def without_boat(plan: Plan, order: str) -> Plan:
    """The same plan without a boat."""
    answer, problem = plan.answer, plan.problem
    return replace(
        plan,
        problem=replace(
            problem,
            orders=tuple(one for one in problem.orders if one.order != order),
            operations=tuple(one for one in problem.operations if one.order != order),
        ),
        answer=replace(
            answer,
            orders=tuple(one for one in answer.orders if one.order != order),
            operations=tuple(
                one for one in answer.operations if one.operation.split("/")[0] != order
            ),
        ),
    )


def boat(found: Difference, order: str) -> object:
    """The promise and the days moved of one boat."""
    (one,) = (row for row in found.boats if row.order == order)
    return one.promise, one.days_later


def test_a_plan_is_the_same_as_itself() -> None:
    """A plan, and the same one read from its file, do not differ."""
    for other in (PLAN, plan_from_json(plan_to_json(PLAN))):
        found = difference(PLAN, other)
        assert found.same
        assert found.operations == ()
        assert found.people == ()
        # 12 + 13 operations, of which hull.prep of the first boat is done
        assert found.compared == 24


def test_the_same_instants_on_another_axis_are_no_move() -> None:
    """A later plan whose axis begins later says the same where instants agree."""
    earlier = PLAN.problem.axis
    document = plan_to_json(PLAN)
    start = earlier.start - timedelta(days=3)
    axis = Axis(start, earlier.tick_minutes, earlier.ticks, earlier.zone_name)
    document["problem"]["start"] = axis.iso(0)
    shifted = plan_from_json(document)
    assert shifted.answer.operations[0].start != PLAN.answer.operations[0].start
    assert difference(PLAN, shifted).same


def test_a_promise_breaks_and_heals() -> None:
    """Late B101, in time in the other plan: it heals, or breaks the other way."""
    in_time = with_result(PLAN, OrderResult("B101", at("03-18 12:00"), None, 0))
    assert boat(difference(PLAN, in_time), "B101") == ("heals", -5)
    assert boat(difference(in_time, PLAN), "B101") == ("breaks", 5)
    assert boat(difference(PLAN, PLAN), "B101") == ("late", 0)
    assert boat(difference(in_time, in_time), "B101") == ("kept", 0)
    assert boat(difference(PLAN, PLAN), "B102") == ("no promise", 0)


def test_a_date_promised_anew_is_told() -> None:
    """A promise that was moved shows both dates."""
    after = with_promise(PLAN, "B101", "2027-03-26")
    (one,) = (row for row in difference(PLAN, after).boats if row.changed)
    assert one.promised_after == date(2027, 3, 26)
    assert one.promised_before not in {None, one.promised_after}


def test_boats_of_one_plan_only() -> None:
    """A new boat and one that has gone have one finish only."""
    alone = without_boat(PLAN, "B102")
    (new,) = (one for one in difference(alone, PLAN).boats if one.changed)
    assert (new.order, new.finish_before, new.finish_after) == (
        "B102", None, date(2027, 3, 29),
    )  # fmt: skip
    (gone,) = (one for one in difference(PLAN, alone).boats if one.changed)
    assert (gone.order, gone.finish_before, gone.finish_after) == (
        "B102", date(2027, 3, 29), None,
    )  # fmt: skip


def test_a_moved_operation_has_both_instants() -> None:
    """Moved by an hour it is another time, by a day another day."""
    name = "B102/deck.prep"

    def at_once(text: str) -> Callable[[Planned], Planned]:
        (span,) = spans(text)
        return lambda one: replace(
            one, start=span[0], finish=span[1], segments=(span,),
            people=(Stint("LM-04", *span),),
        )  # fmt: skip

    (hour,) = difference(
        PLAN, with_operation(PLAN, name, at_once("03-11 11:00 12:30"))
    ).operations
    assert (hour.moved, hour.other_day, hour.other_people) == (True, False, False)
    assert hour.start_after - hour.start_before == timedelta(hours=1)
    found = difference(PLAN, with_operation(PLAN, name, at_once("03-12 10:00 11:30")))
    (day,) = found.operations
    assert (day.moved, day.other_day) == (True, True)
    counts = {one.order: one.operations_moved for one in found.boats}
    assert counts == {"B101": 0, "B102": 1}


def test_other_people_are_told_with_their_hours() -> None:
    """Who takes a step over gains what the other one loses, here 1.5 hours."""

    def by_other(one: Planned) -> Planned:
        return replace(one, people=(replace(one.people[0], person="LM-02"),))

    after = with_operation(PLAN, "B102/deck.prep", by_other)
    found = difference(PLAN, after)
    (one,) = found.operations
    assert (one.moved, one.other_people) == (False, True)
    gains, loses = found.people
    assert (gains.person, gains.gained, gains.lost) == ("LM-02", 1, 0)
    assert (loses.person, loses.gained, loses.lost) == ("LM-04", 0, 1)
    assert gains.hours_after - gains.hours_before == 1.5
    assert loses.hours_before - loses.hours_after == 1.5


def test_hours_of_a_person_are_those_worked() -> None:
    """Breaks and nights inside a stint are not hours (counted by hand)."""
    bare = replace(PLAN, answer=replace(PLAN.answer, operations=()))
    people = {one.person: one for one in difference(bare, PLAN).people}
    # final.rig of B101: 4 + 3 + 5 + 3 h, of B102: 4 + 3 + 5 + 2 h
    assert people["RG-01"] == PersonChange("RG-01", 2, 0, 0.0, 29.0)


def test_work_done_since_is_a_fact() -> None:
    """What is done in the later plan is counted, not called a move."""
    name = "B101/deck.prep"
    problem = PLAN.problem
    committed = tuple(
        replace(one, why="done") if one.operation == name else one
        for one in problem.committed
    )
    assert committed != problem.committed
    after = replace(PLAN, problem=replace(problem, committed=committed))
    after = with_operation(after, name, lambda one: replace(one, segments=()))
    found = difference(PLAN, after)
    assert found.done_since == 1
    assert found.operations == ()
    assert found.compared == 23
