"""Why operations begin when they do, worked out by hand on the small plan."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from scheduler.plan import Plan
from scheduler.problem import Committed, Mold
from scheduler.waiting_for import (
    Causes,
    Reason,
    duration,
    what_it_delays,
    what_it_waited_for,
)
from tests.scheduler.small_plan import small_plan
from tests.scheduler.small_yard import at

PLAN = small_plan()
HOUR = 4  # ticks


def _changed(**changes: Any) -> Plan:
    return replace(PLAN, problem=replace(PLAN.problem, **changes))


def _with(field: str, id: str, **changes: Any) -> Plan:
    """The small plan with one row of its problem changed."""
    rows = getattr(PLAN.problem, field)
    assert any(one.id == id for one in rows)
    changed = (replace(one, **changes) if one.id == id else one for one in rows)
    return _changed(**{field: tuple(changed)})


def _pinned(operation: str, **given: Any) -> Plan:
    row = {"start": None, "finish": None, "mold": None, "place": None, "people": ()}
    pin = Committed(operation, why="locked", **(row | given))
    return _changed(committed=(*PLAN.problem.committed, pin))


def _waits(reason: Reason) -> list[tuple[str, str, float, tuple[str, ...]]]:
    return [
        (one.kind, one.resource, one.ticks / HOUR, one.holders) for one in reason.waited
    ]


@pytest.mark.parametrize(
    ("operation", "kind"),
    [
        ("B101/hull.prep", "done"),
        ("B101/deck.prep", "started"),
        ("B101/hull.gel_coat", "frozen"),
        ("B101/deck.gel_coat", "locked"),
    ],
)
def test_what_is_given_needs_no_other_cause(operation: str, kind: str) -> None:
    """Work done, begun, frozen or pinned to a start begins when it is given."""
    reason = what_it_waited_for(PLAN, operation)
    assert (reason.kind, reason.before, reason.waited) == (kind, None, ())
    assert reason.ready == reason.start


def test_a_cure_is_named_with_its_end() -> None:
    """A cure holds work until it ends: 62.5 hours, the clocks going forward inside."""
    reason = what_it_waited_for(PLAN, "B101/hull.demold")
    assert (reason.kind, reason.before) == ("cure", "B101/hull.laminate")
    assert (reason.ready, reason.closed) == (at("03-15 06:00"), 0)
    assert reason.text == (
        "The cure after hull.laminate allows it from Mon 2027-03-15 06:00."
    )


def test_a_night_is_told_from_what_ended_before_it() -> None:
    """Where a wait ends too late for the shift, the next working time is said too.

    The bond allows the skin from 14:15; three hours of it no longer fit.
    """
    reason = what_it_waited_for(PLAN, "B102/hull.skin")
    assert (reason.kind, reason.waited) == ("bond", ())
    assert reason.ready == at("03-15 14:15")
    assert reason.closed == at("03-16 06:00") - at("03-15 14:15")
    assert reason.text == (
        "The wait for the bond after hull.gel_coat allows it from "
        "Mon 2027-03-15 14:15; working time for it begins Tue 2027-03-16 06:00."
    )


def test_a_sequence_follows_at_once() -> None:
    """Work that follows directly names what it follows."""
    reason = what_it_waited_for(PLAN, "B102/final.air_out")
    assert (reason.kind, reason.before) == ("sequence", "B102/final.rig")
    assert (
        reason.text
        == "It follows final.rig, which allows it from Fri 2027-03-26 14:30."
    )


def test_a_mold_taken_by_another_boat_is_named() -> None:
    """Work that puts a part into a mold waits for the boat that is in it.

    From Thursday 06:00 to Monday 07:30 it is 97.5 hours on the wall, less the hour
    that clocks skip.
    """
    reason = what_it_waited_for(PLAN, "B102/hull.prep")
    assert (reason.kind, reason.resource) == ("mold", "a hull mold for tern-23")
    assert _waits(reason) == [("mold", "a hull mold for tern-23", 96.5, ("B101",))]
    assert reason.text == (
        "The order is released Thu 2027-03-11 00:00; working time for it begins "
        "Thu 2027-03-11 06:00. It then waits 4.0 days for a hull mold for tern-23, "
        "taken by B101."
    )


def test_a_place_taken_by_another_boat_is_named() -> None:
    """The hull stays in its mold until the boat before has left the bay."""
    reason = what_it_waited_for(PLAN, "B102/hull.demold")
    assert (reason.kind, reason.before) == ("place", "B102/hull.laminate")
    assert _waits(reason) == [("place", "a free bay", 30.5, ("B101",))]


def test_the_last_day_is_told_apart_tick_by_tick() -> None:
    """What held work to the end of its wait is not blamed for the hours before.

    The deck mold is free at 09:45; the last quarter of an hour is the plan's choice.
    """
    reason = what_it_waited_for(PLAN, "B102/deck.prep")
    assert _waits(reason) == [
        ("mold", "a deck mold for tern-23", 3.75, ("B101",)),
        ("turn", "its turn", 0.25, ()),
    ]
    assert reason.kind == "mold"
    assert reason.text.endswith(
        "It then waits 3.8 h for a deck mold for tern-23, taken by B101. For 0.2 h "
        "nothing stands in its way; the plan gives others the turn."
    )


def test_a_second_mold_that_is_free_is_not_waited_for() -> None:
    """A mold holds work up only if every mold that fits is taken."""
    second = Mold("D23-2", "deck", ("tern-23",))
    plan = _changed(molds=(*PLAN.problem.molds, second))
    reason = what_it_waited_for(plan, "B102/deck.prep")
    assert _waits(reason) == [("turn", "its turn", 4, ())]


def test_an_outage_holds_a_mold_like_a_boat() -> None:
    """A mold out of use is waited for, and the outage is named."""
    outage = ((at("03-15 00:00"), at("03-15 07:30")),)
    plan = _with("molds", "H23-1", unavailable=outage)
    kept = tuple(
        one
        for one in plan.answer.occupations
        if (one.resource, one.order) != ("H23-1", "B101")
    )
    plan = replace(plan, answer=replace(plan.answer, occupations=kept))
    reason = what_it_waited_for(plan, "B102/hull.prep")
    wanted = ("mold", "a hull mold for tern-23", 96.5, ("an outage of H23-1",))
    assert _waits(reason) == [wanted]


def test_a_place_for_two_is_free_with_one_inside() -> None:
    """A place with room left is not waited for."""
    plan = _with("places", "Bay 1", capacity=2)
    reason = what_it_waited_for(plan, "B102/hull.demold")
    assert [one.kind for one in reason.waited] == ["turn"]


def _at_the_booth() -> Plan:
    """The join of one boat and the lay-up of the other take the booth."""
    both = {"B101/final.join", "B102/hull.laminate"}
    return _changed(
        operations=tuple(
            replace(one, demands=(("booth", 1),)) if one.id in both else one
            for one in PLAN.problem.operations
        )
    )


def test_a_station_taken_is_named_with_the_work_at_it() -> None:
    """Work waits while others take the station that it needs."""
    reason = what_it_waited_for(_at_the_booth(), "B102/hull.laminate")
    assert _waits(reason) == [("station", "station booth", 2, ("B101/final.join",))]
    assert (reason.kind, reason.before) == ("station", "B102/hull.skin")
    assert reason.text.endswith(
        "It then waits 2.0 h for station booth, taken by B101/final.join."
    )


def test_a_station_with_room_left_is_not_waited_for() -> None:
    """A station holds work up only if its capacity is used."""
    plan = _at_the_booth()
    booth, *others = plan.problem.stations
    stations = (replace(booth, capacity=2), *others)
    plan = replace(plan, problem=replace(plan.problem, stations=stations))
    reason = what_it_waited_for(plan, "B102/hull.laminate")
    assert [one.kind for one in reason.waited] == ["people", "turn"]


def test_people_at_work_elsewhere_are_named_by_that_work() -> None:
    """Work for two waits until two who have the skill are free together."""
    two = tuple(one for one in PLAN.problem.people if one.id in {"LM-01", "LM-02"})
    reason = what_it_waited_for(_changed(people=two), "B102/hull.laminate")
    wanted = ("people", "people who can laminate", 2, ("B101/final.join",))
    assert _waits(reason) == [wanted]


def test_people_on_leave_are_not_free() -> None:
    """Somebody away is lacking, though nobody else has them."""
    two = [one for one in PLAN.problem.people if one.id in {"LM-01", "LM-02"}]
    away = (at("03-17 00:00"), at("03-17 08:00"))
    there = tuple(
        (max(a, away[1]) if away[0] <= a < away[1] else a, b)
        for a, b in two[1].available
    )
    people = (two[0], replace(two[1], available=there))
    rows = tuple(  # nobody is on the join
        replace(one, people=()) if one.operation == "B101/final.join" else one
        for one in PLAN.answer.operations
    )
    plan = replace(
        _changed(people=people), answer=replace(PLAN.answer, operations=rows)
    )
    reason = what_it_waited_for(plan, "B102/hull.laminate")
    assert _waits(reason) == [("people", "people who can laminate", 2, ())]
    assert reason.text.endswith("It then waits 2.0 h for people who can laminate.")


def test_an_item_that_arrives_last_decides() -> None:
    """Where an arrival comes after all that precedes, the arrival is the cause."""
    plan = _with("operations", "B101/final.rig", earliest=at("03-18 08:15"))
    rows = tuple(
        replace(one, start=at("03-18 08:15"))
        if one.operation == "B101/final.rig"
        else one
        for one in plan.answer.operations
    )
    plan = replace(plan, answer=replace(plan.answer, operations=rows))
    reason = what_it_waited_for(plan, "B101/final.rig")
    assert (reason.kind, reason.before, reason.waited) == ("arrival", None, ())
    assert reason.text == "An item that it needs arrives Thu 2027-03-18 08:15."


def test_work_before_is_named_rather_than_an_item_at_the_same_time() -> None:
    """Where a cure and an arrival allow work at one instant, the chain goes on."""
    plan = _with("operations", "B101/final.rig", earliest=at("03-18 08:00"))
    reason = what_it_waited_for(plan, "B101/final.rig")
    assert (reason.kind, reason.before) == ("cure", "B101/final.join")


def test_a_wait_for_the_end_of_work_counts_back_its_length() -> None:
    """Of 54.5 hours until rigging ends, its own 30.5 leave 24 until it begins."""
    wait = "B102/final.join>B102/final.rig"
    plan = _with("waits", wait, after_of="end", min_minutes=54 * 60 + 30)
    reason = what_it_waited_for(plan, "B102/final.rig")
    assert (reason.kind, reason.before) == ("cure", "B102/final.join")
    assert (reason.ready, reason.waited) == (at("03-25 08:00"), ())


def test_planning_begins_now() -> None:
    """Work whose boat was ready before could not be planned before `now`."""
    kept = tuple(one for one in PLAN.problem.committed if one.why != "frozen")
    reason = what_it_waited_for(_changed(committed=kept), "B101/hull.gel_coat")
    assert (reason.before, reason.ready) == (None, at("03-08 00:00"))
    assert _waits(reason) == [("turn", "its turn", 2, ())]
    assert reason.text.startswith(
        "Nothing before it; planning begins Mon 2027-03-08 00:00; working time for it "
        "begins Mon 2027-03-08 06:00. "
    )


def test_work_that_stands_no_other_in_its_part_waits_for_it() -> None:
    """Exclusive work waits for other work on its part, whatever the routing."""
    gone = "B101/hull.skin>B101/hull.laminate"
    waits = tuple(one for one in PLAN.problem.waits if one.id != gone)
    assert len(waits) < len(PLAN.problem.waits)
    reason = what_it_waited_for(_changed(waits=waits), "B101/hull.laminate")
    assert (reason.before, reason.ready) == ("B101/hull.skin", at("03-09 09:00"))
    assert reason.text.startswith(
        "It is not done beside hull.skin in the same part, which ends "
        "Tue 2027-03-09 09:00."
    )


def test_work_that_must_be_followed_soon_waits_with_its_follower() -> None:
    """An hour sooner, the gel coat would stand for 17 hours, one more than it may."""
    plan = _with("waits", "B102/deck.gel_coat>B102/deck.skin", max_minutes=16 * 60)
    reason = what_it_waited_for(plan, "B102/deck.gel_coat")
    assert _waits(reason) == [("window", "its turn", 1, ("B102/deck.skin",))]
    assert reason.text.endswith(
        "For 1.0 h it waits with B102/deck.skin, which must follow it soon."
    )
    plan = _with("waits", "B102/deck.gel_coat>B102/deck.skin", max_minutes=17 * 60)
    reason = what_it_waited_for(plan, "B102/deck.gel_coat")
    assert _waits(reason) == [("turn", "its turn", 1, ())]


def test_a_mold_that_is_pinned_is_the_only_one() -> None:
    """A pin without a start leaves the start open; only the pinned mold will do."""
    second = Mold("D23-2", "deck", ("tern-23",))
    plan = _pinned("B102/deck.prep", mold="D23-1")
    problem = replace(plan.problem, molds=(*plan.problem.molds, second))
    reason = what_it_waited_for(replace(plan, problem=problem), "B102/deck.prep")
    assert _waits(reason) == [
        ("mold", "mold D23-1", 3.75, ("B101",)),
        ("turn", "its turn", 0.25, ()),
    ]


def test_people_who_are_pinned_are_waited_for_by_name() -> None:
    """Where the planner pinned people, others who are free do not help."""
    plan = _pinned("B102/hull.laminate", people=("LM-01",))
    reason = what_it_waited_for(plan, "B102/hull.laminate")
    assert _waits(reason) == [("people", "LM-01", 2, ("B101/final.join",))]
    # Others would be free at 07:00, when RG-02 begins and the deck is out.
    reason = what_it_waited_for(PLAN, "B102/hull.laminate")
    busy = ("B101/final.join", "B102/deck.demold")
    assert _waits(reason) == [
        ("people", "people who can laminate", 1, busy),
        ("turn", "its turn", 1, ()),
    ]


def test_work_delays_what_follows_it_and_what_takes_over_from_it() -> None:
    """Named are successors that it binds, and the next in its station and stand."""
    assert what_it_delays(_at_the_booth(), "B101/final.join") == (
        "B102/deck.demold",  # waits for the stand that the join empties
        "B102/hull.laminate",  # waits for the booth
        "B101/final.rig",  # waits for the cure
    )


def test_the_work_that_empties_a_mold_delays_the_next_boat() -> None:
    """Only the operation that takes the part out, not the others, holds the mold."""
    assert what_it_delays(PLAN, "B101/hull.demold") == ("B102/hull.prep",)
    assert what_it_delays(PLAN, "B101/hull.laminate") == ("B101/hull.demold",)
    assert what_it_delays(PLAN, "B101/final.inspect") == ("B102/hull.demold",)


def test_the_chain_runs_from_the_last_work_back_to_what_is_given() -> None:
    """Each operation of the chain is what decided when the one after it could begin."""
    chain = [one.operation for one in Causes(PLAN).chain("B101")]
    codes = "final.inspect final.rig final.join hull.demold hull.laminate hull.skin"
    assert chain == [f"B101/{code}" for code in (*codes.split(), "hull.gel_coat")]
    last = Causes(PLAN).chain("B102")[-1]
    assert (last.operation, last.before) == ("B102/hull.prep", None)


def test_a_boat_waits_for_what_its_chain_waits_for() -> None:
    """Days are summed along the chain, longest first; less than a day is the night."""
    assert list(Causes(PLAN).waits_of_order("B102").items()) == [
        ("a hull mold for tern-23", 96.5 / 24),
        ("a free bay", 30.5 / 24),
    ]


def test_an_order_without_work_has_no_chain() -> None:
    """Nothing is asked of a boat that has no operations."""
    assert Causes(PLAN).chain("B999") == []
    assert Causes(PLAN).waits_of_order("B999") == {}


def test_lengths_have_their_unit() -> None:
    """Hours below a day, days from there on, one decimal each."""
    assert duration(15) == "0.2 h"
    assert duration(24 * 60 - 15) == "23.8 h"
    assert duration(24 * 60) == "1.0 days"
    assert duration(36 * 60) == "1.5 days"
