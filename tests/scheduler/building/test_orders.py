"""Routings become operations, waits and parts that a plan can be checked against."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from models.boat import RoutingWait
from models.errors import DataFaults
from models.learning import Learning, average_unit_share
from scheduler.building.build import build_problem
from scheduler.building.orders import minutes_down, minutes_up, order_templates
from scheduler.problem import Problem
from tests.models.tiny import tiny_book
from tests.scheduler.small_book import boat, small_book, small_model, small_yard, step


def operation(problem: Problem, name: str) -> object:
    """Find an operation by its id."""
    return next(one for one in problem.operations if one.id == name)


@given(st.permutations(range(7)))
def test_operations_come_in_an_order_that_the_waits_allow(places: list[int]) -> None:
    """Each order's operations stand together, and none before one it waits for."""
    model = small_model()
    model = replace(model, operations=tuple(model.operations[n] for n in places))
    problem = build_problem(small_book(models={"wren": model}))
    orders = [one.order for one in problem.operations]
    assert orders == sorted(orders)
    at = {one.id: index for index, one in enumerate(problem.operations)}
    assert all(at[wait.before] < at[wait.after] for wait in problem.waits)


def test_operations_without_waits_keep_the_order_of_the_routing() -> None:
    """Where the waits leave a choice, the routing's own order stands."""
    model = small_model(waits=())
    problem = build_problem(small_book(models={"wren": model}))
    codes = [one.code for one in problem.operations if one.order == "B1"]
    assert codes == ["rig", "prep", "gel_coat", "skin", "demold", "soak"]


def test_a_cycle_of_waits_is_named() -> None:
    """Steps that wait for each other are a fault of the boat model."""
    model = small_model()
    waits = (*model.waits, RoutingWait("sequence", "rig", "prep"))
    with pytest.raises(DataFaults, match=r"boats/wren\.toml.*cycle through.*prep"):
        build_problem(small_book(models={"wren": replace(model, waits=waits)}))


def test_hours_carry_the_allowance_and_the_options_work() -> None:
    """Labor hours are the lines' with the allowance, plus what the options add."""
    problem = build_problem(small_book())
    hours = {one.id: one.labor_hours for one in problem.operations}
    assert hours["B1/skin"] == pytest.approx(8 * 1.25)
    assert hours["B1/rig"] == pytest.approx(40)
    assert hours["B2/rig"] == pytest.approx(40 + 5)
    assert "B1/tower" not in hours
    assert hours["B2/tower"] == pytest.approx(6)


def test_an_operation_runs_on_its_own_its_skills_or_the_delivery_calendar() -> None:
    """The calendar is the step's, else its skill's, else that of delivery."""
    model = small_model()
    own = replace(model.operations[1], calendar="shop")  # prep, by laminators
    model = replace(model, operations=(own, *model.operations[2:], model.operations[0]))
    problem = build_problem(small_book(models={"wren": model}))
    calendars = {one.code: one.calendar for one in problem.operations}
    assert calendars["prep"] == "shop"
    assert calendars["gel_coat"] == "lamination"
    assert calendars["soak"] == "shop"


def test_an_operation_without_a_crew_lasts_and_takes_nobody() -> None:
    """A step without a skill has minutes, no hours and no crew."""
    soak = operation(build_problem(small_book()), "B1/soak")
    assert (soak.duration_minutes, soak.labor_hours) == (66, 0)  # type: ignore[attr-defined]
    assert (soak.crew_min, soak.crew_max) == (0, 0)  # type: ignore[attr-defined]


def test_demands_list_the_stations_that_have_a_capacity() -> None:
    """An operation takes one of its own station and what it lists, where limited."""
    model = small_model(
        operations=(
            step("spray", "laminate", "booth", 3, demands=(("hoist", 2), ("bays", 1))),
            step("two", "laminate", "booth", 3, demands=(("booth", 2),)),
            step("lay", "laminate", "floor", 3),
        ),
        waits=(),
        options=(),
        parts=(),
    )
    book = small_book(models={"wren": model}, orders=(boat("B1"),))
    demands = [one.demands for one in build_problem(book).operations]
    assert demands == [(("booth", 1), ("hoist", 2)), (("booth", 2),), ()]


def test_waits_carry_their_limits_and_their_clock() -> None:
    """A wait keeps its minutes, its data sheet and, on the work clock, a calendar."""
    waits = {one.id: one for one in build_problem(small_book()).waits}
    bond = waits["B1/gel_coat>skin/bond"]
    assert (bond.min_minutes, bond.max_minutes, bond.clock) == (180, 1440, "wall")
    cure = waits["B2/skin>demold/cure"]
    assert (cure.min_minutes, cure.data_sheet_min_minutes) == (2880, 2880)
    work = waits["B2/rig>tower/sequence"]
    assert (work.min_minutes, work.clock, work.calendar) == (240, "work", "shop")


def test_two_waits_between_the_same_steps_have_names_of_their_own() -> None:
    """Every wait has an id that no other has."""
    model = small_model()
    again = RoutingWait("bond", "gel_coat", "skin", before_of="start", max_hours=30)
    model = replace(model, waits=(*model.waits, again))
    waits = build_problem(small_book(models={"wren": model})).waits
    assert len({one.id for one in waits}) == len(waits)


@given(st.integers(0, 100_000))
def test_hours_become_the_minutes_that_they_were(minutes: int) -> None:
    """Hours that are whole minutes lose and gain none by rounding either way."""
    assert minutes_up(minutes / 60) == minutes_down(minutes / 60) == minutes


def test_minimum_waits_round_up_and_maximum_waits_down() -> None:
    """Parts of a minute never shorten a minimum or lengthen a maximum."""
    assert minutes_up(1.001) == 61
    assert minutes_down(1.999) == 119


def test_a_part_stays_between_the_operations_that_its_model_names() -> None:
    """A part holds its mold and place between operations of its own order."""
    part = build_problem(small_book()).parts[1]
    assert (part.order, part.part) == ("B2", "hull")
    assert (part.mold_from, part.mold_to) == ("B2/prep", "B2/demold")
    assert (part.place_kind, part.place_from, part.place_to, part.place_to_of) == (
        "bay",
        "B2/demold",
        "B2/rig",
        "end",
    )


def test_a_part_whose_steps_an_option_takes_away_occupies_nothing() -> None:
    """Without its first or last step a part is in no mold and no place."""
    model = small_model()
    rig = replace(model.operations[0], unless="tower")
    model = replace(model, operations=(rig, *model.operations[1:]))
    parts = build_problem(small_book(models={"wren": model})).parts
    assert [(one.order, one.place_kind, one.place_to) for one in parts] == [
        ("B1", "bay", "B1/rig"),
        ("B2", None, None),
    ]


def test_graphics_bring_their_steps_and_waits() -> None:
    """Each color is masked, sprayed in one go, left to tack and unmasked."""
    book = small_book(orders=(boat("B1", graphics="stripe"),))
    problem = build_problem(book)
    codes = [one.code for one in problem.operations]
    chain = ["hull.color1.mask", "hull.color1.spray", "hull.color1.unmask"]
    assert codes[:5] == ["prep", *chain, "gel_coat"]
    assert [one.one_go for one in problem.operations[1:4]] == [False, True, False]
    tack = next(one for one in problem.waits if one.kind == "tack")
    assert (tack.min_minutes, tack.max_minutes) == (60, 720)
    window = next(one for one in problem.waits if one.before_of == "start")
    assert (window.max_minutes, window.after) == (1800, "B1/gel_coat")


def test_a_yard_of_another_tick_changes_no_minutes() -> None:
    """Durations are minutes in the problem, whatever the tick."""
    problem = build_problem(small_book(yard=small_yard(tick_minutes=30)))
    assert problem.axis.tick_minutes == 30
    assert problem.waits[1].min_minutes == 180


def test_each_boat_of_a_new_model_has_its_own_hours() -> None:
    """The n-th boat of the book takes its share; its cures stay as they are."""
    book = tiny_book()
    model = replace(
        book.models["skiff-16"], learning=Learning("cumulative average", 0.9, built=2)
    )
    orders = (
        replace(book.orders[0], order="A"),
        replace(book.orders[0], order="B"),
    )
    plain = order_templates(replace(book, orders=orders))
    new = order_templates(replace(book, orders=orders, models={"skiff-16": model}))
    for name, number in (("A", 3), ("B", 4)):
        share = average_unit_share(0.9, number)
        assert new[name].hours == pytest.approx([h * share for h in plain[name].hours])
        assert new[name].waits == plain[name].waits
