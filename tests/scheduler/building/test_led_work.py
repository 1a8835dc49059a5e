"""Apprentices beside a lead in graphics layouts and other jobs, as on any step."""

from __future__ import annotations

from dataclasses import replace

from models.jobs import Job, JobStep
from models.orders import Book
from scheduler.building.build import build_problem
from scheduler.checker import check
from scheduler.plan import Plan
from scheduler.plan_file import plan_to_json
from scheduler.planner import Request, make_plan
from scheduler.searching.search import Budget
from tests.scheduler.small_book import boat, small_book, small_model

LAY_UP = JobStep("lay up", "floor", "laminate", 9.0, 3, 3, leads_min=2)


def led_book() -> Book:
    """One striped boat and a job; L2 learns to laminate, two must lead in both."""
    book = small_book(jobs=(Job("J1", "show", (LAY_UP,), model="wren"),))
    people = tuple(
        replace(one, skills=(), apprentice_in=("laminate",)) if one.id == "L2" else one
        for one in book.yard.people
    )
    model = small_model()
    stripe = replace(model.graphics[0], crew_min=3, crew_max=3, leads_min=2)
    return replace(
        book,
        yard=replace(book.yard, people=people),
        models={"wren": replace(model, graphics=(stripe,))},
        orders=(boat("B1", graphics="stripe"),),
    )


def crew_of(plan: Plan, operation: str) -> set[str]:
    """Everybody on an operation."""
    rows = {one.operation: one for one in plan.answer.operations}
    return {one.person for one in rows[operation].people}


def test_the_problem_says_how_many_lead() -> None:
    """The colors of a layout and the steps of a job carry their `leads_min`."""
    led = {one.id: one.leads_min for one in build_problem(led_book()).operations}
    assert led["J1/lay up"] == 2
    colors = {name: count for name, count in led.items() if ".color" in name}
    assert len(colors) == 3
    assert set(colors.values()) == {2}
    assert led["B1/prep"] == 0


def test_an_apprentice_is_the_third_of_three() -> None:
    """With two who know the work, the crew of three holds; without one it does not."""
    book = led_book()
    plan = make_plan(book, Request(Budget(None, 20), workers=1)).plan
    document = plan_to_json(plan)
    assert check(document) == []
    assert crew_of(plan, "J1/lay up") == {"L1", "L2", "L3"}
    assert crew_of(plan, "B1/hull.color1.spray") == {"L1", "L2", "L3"}
    for row in document["problem"]["people"]:
        if row["id"] == "L1":  # as if one of the two learned as well
            row["skills"], row["lead_for"] = [], []
            row["apprentice_in"] = ["laminate"]
    told = " ".join(check(document))
    assert "J1/lay up" in told
    assert "B1/hull.color1.spray" in told
