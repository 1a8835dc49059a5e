"""The sheet of one crew and day."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from scheduler.sheets.day import crew_sheet, worked
from scheduler.sheets.sheet_page import day_page
from tests.dashboard.demo_view import demo_plan
from tests.scheduler.sheets.small_floor import small_floor
from tests.scheduler.small_yard import at

RIG = "B101/final.rig"


def test_a_step_is_on_each_day_with_that_days_hours() -> None:
    """Rigging of 28 h runs on four days with 7, 8, 8 and 5 h less the break."""
    floor = small_floor()
    found = {}
    for number in range(18, 24):
        sheet = crew_sheet(floor, "Rigging", date(2027, 3, number))
        found[number] = {one.operation: one.day_hours for one in sheet.steps}
    assert found == {
        18: {RIG: 7.0}, 19: {RIG: 8.0}, 20: {}, 21: {}, 22: {RIG: 8.0}, 23: {RIG: 5.0},
    }  # fmt: skip


def test_planned_hours_are_told_from_the_standard() -> None:
    """27.9 h worked in quarters of an hour are 28 in the plan: both are said."""
    floor = small_floor()
    first = date(2027, 3, 18)
    (step,) = crew_sheet(floor, "Rigging", first).steps
    assert (step.day_hours, step.planned_hours, step.standard_hours) == (7, 28, 28)
    problem = floor.plan.problem
    fewer = tuple(
        replace(one, labor_hours=27.9) if one.id == RIG else one
        for one in problem.operations
    )
    plan = replace(floor.plan, problem=replace(problem, operations=fewer))
    rounded = replace(floor, plan=plan)
    page = day_page(rounded, [crew_sheet(rounded, "Rigging", first)])
    told = "Crew 1, 7 of 28 labor-hours planned this day, standard 27.9 in all"
    assert told in page
    assert "in steps of 15 minutes" in page
    begun = replace(step, start=step.begins - 4, day_hours=28, standard_hours=30)
    one_day = replace(crew_sheet(floor, "Rigging", first), steps=(begun,))
    told = "Crew 1, 28 labor-hours planned, standard 30 in all"
    assert told in day_page(floor, [one_day])
    wash = "B101/hull.skin"
    row = floor.planned[wash]
    day = floor.plan.problem.axis.local(row.start).date()
    page = day_page(floor, [crew_sheet(floor, "Lamination", day)])
    whole = row.crew * sum(end - start for start, end in row.segments) / 4
    assert (
        f"Crew {row.crew}, {whole:g} labor-hours<br>" in page
    )  # equal to the standard


def test_people_are_named_with_their_own_times() -> None:
    """A person is on the sheet of the days on which they work, across the break."""
    floor = small_floor()
    (step,) = crew_sheet(floor, "Rigging", date(2027, 3, 19)).steps
    assert [(one.person, one.start, one.finish) for one in step.people] == [
        ("RG-01", at("03-19 07:00"), at("03-19 15:30"))
    ]
    (step,) = crew_sheet(floor, "Rigging", date(2027, 3, 22)).steps
    assert [one.person for one in step.people] == ["RG-02"]
    sheet = crew_sheet(floor, "Gel coat", date(2027, 3, 11))
    assert list(sheet.people) == ["LM-01", "LM-03"]


def test_who_leads_is_named_where_somebody_learns() -> None:
    """Beside an apprentice the others of a crew lead; elsewhere nobody is marked."""
    floor = small_floor()
    people = tuple(
        replace(one, skills=("gel_coat",), apprentice_in=("laminate",))
        if one.id == "LM-01"
        else one
        for one in floor.plan.problem.people
    )
    problem = replace(floor.plan.problem, people=people)
    taught = replace(floor, plan=replace(floor.plan, problem=problem))
    sheet = crew_sheet(taught, "Lamination", date(2027, 3, 16))
    step = next(one for one in sheet.steps if one.operation == "B102/hull.skin")
    assert [(one.person, one.standing) for one in step.people] == [
        ("LM-01", "apprentice"),
        ("LM-02", "lead"),
    ]
    (step,) = crew_sheet(taught, "Rigging", date(2027, 3, 19)).steps
    assert [one.standing for one in step.people] == [""]
    assert "LM-01 (apprentice)<br>LM-02 (lead)" in day_page(taught, [sheet])


def test_releases_stand_where_a_step_begins() -> None:
    """A step that goes on from the day before asks for no release again."""
    floor = small_floor()
    (first,) = crew_sheet(floor, "Rigging", date(2027, 3, 18)).steps
    (second,) = crew_sheet(floor, "Rigging", date(2027, 3, 19)).steps
    assert [one.kind for one in first.releases] == ["cure"]
    assert second.releases == ()


def test_a_step_of_no_length_is_on_its_day() -> None:
    """An inspection without hours is worked at its instant."""
    floor = small_floor()
    sheet = crew_sheet(floor, "Assembly", date(2027, 3, 23))
    assert [one.operation for one in sheet.steps] == ["B101/final.inspect"]
    assert floor.is_gate("B101/final.inspect")
    assert not floor.is_gate(RIG)


def test_a_closed_mold_is_named() -> None:
    """An outage that touches the day is on every sheet of it."""
    sheet = crew_sheet(small_floor(), "Rigging", date(2027, 3, 25))
    assert [(one.resource, one.until) for one in sheet.closed] == [
        ("H23-1", at("03-25 14:30"))
    ]
    assert crew_sheet(small_floor(), "Rigging", date(2027, 3, 24)).closed == ()


@pytest.mark.parametrize("boats", ["small", "demo"])
def test_every_worked_hour_is_on_one_sheet(boats: str) -> None:
    """All sheets of all crews and days together hold the plan's labor, once."""
    from models.names import Names
    from scheduler.sheets.floor import make_floor

    floor = small_floor() if boats == "small" else make_floor(demo_plan(), Names())
    tick = floor.plan.problem.axis.tick_minutes / 60
    planned = sum(
        (end - start) * row.crew * tick
        for row in floor.planned.values()
        for start, end in row.segments
    )
    shown, steps = 0.0, set()
    day = floor.first_day
    while day <= floor.last_day:
        for crew in floor.crews:
            sheet = crew_sheet(floor, crew, day)
            shown += sheet.day_hours
            steps |= {one.operation for one in sheet.steps}
        day += timedelta(days=1)
    assert shown == pytest.approx(planned)
    assert steps == {name for name in floor.planned if not floor.is_done(name)}


def test_nothing_done_is_worked() -> None:
    """A step that is a fact has no place on a sheet."""
    floor = small_floor()
    row = floor.planned["B101/hull.prep"]
    assert worked(row, (row.start, row.finish)) is None


def test_a_whole_boat_is_where_its_parts_are() -> None:
    """A step on the whole boat says the bay of the hull; a part its own room only."""
    floor = small_floor()
    operation = replace(floor.operations[RIG], parts=("boat",))
    floor.operations[RIG] = operation
    assert floor.where(RIG) == ("Bay 1",)
    assert floor.where("B101/deck.demold") == ("D23-1", "Stand 1")
    assert floor.where("B101/hull.laminate") == ("H23-1",)
