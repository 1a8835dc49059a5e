"""Other jobs become orders with steps, holds and waits like those of boats."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date

from models.jobs import Job, JobStep
from models.orders import Book, Lock
from scheduler.building.build import build_problem
from scheduler.checker import check
from scheduler.compare import compare
from scheduler.compiling.compile import compile_problem
from scheduler.difference import difference
from scheduler.difference_report import word_lines
from scheduler.limits import limits_of
from scheduler.plan_file import plan_to_json
from scheduler.planner import Request, make_plan
from scheduler.promise import NAME, quote
from scheduler.report import report_lines
from scheduler.searching.search import Budget
from tests.scheduler.small_book import boat, small_book

WARRANTY = Job(
    "J1",
    "warranty",
    (
        JobStep("lay up", "floor", "laminate", 4.0, 1, 2, one_go=True, cure_hours=24.0),
        JobStep("rig", "bays", "rig", 3.0, 1, 1),
    ),
    model="wren",
    place_kind="bay",
    promised=date(2026, 11, 30),
    weight=2,
)
POLISH = JobStep("polish", "floor", "laminate", 16.0, 1, 1)
MOLD_REPAIR = Job(
    "J2",
    "mold-repair",
    (JobStep("polish", "floor", "laminate", 16.0, 1, 1),),
    mold="H2",
)
REQUEST = Request(budget=Budget(None, 60), workers=1)


def book(*jobs: Job) -> Book:
    """The small book with some jobs."""
    return small_book(jobs=jobs or (WARRANTY, MOLD_REPAIR))


def test_a_job_is_an_order_of_the_kind_other() -> None:
    """It has its own steps, its place, its dates and its weight in the problem."""
    problem = build_problem(book())
    kinds = {one.order: one.kind for one in problem.orders}
    assert kinds == {"B1": "boat", "B2": "boat", "J1": "other", "J2": "other"}
    one = next(one for one in problem.orders if one.order == "J1")
    assert (one.model, one.promised) == ("wren", "2026-11-30")
    first = next(one for one in problem.orders if one.order == "B1")
    assert one.weight == first.weight  # both have the weight 2 and a promise
    (wait,) = (one for one in problem.waits if one.before == "J1/lay up")
    assert (wait.kind, wait.min_minutes, wait.data_sheet_min_minutes) == (
        "cure",
        24 * 60,
        24 * 60,
    )


def test_a_plan_keeps_cure_place_and_mold_of_jobs() -> None:
    """A plan with jobs passes the checker, which sees their holds and late days."""
    plan = make_plan(book(), REQUEST).plan
    assert check(plan_to_json(plan)) == []
    held = {(one.order, one.part): one for one in plan.answer.occupations}
    assert held["J1", "work"].resource == "Bay 1"
    assert held["J2", "hull"].resource == "H2"
    at = {one.operation: one for one in plan.answer.operations}
    cure_ticks = 24 * 60 // plan.problem.axis.tick_minutes
    assert at["J1/rig"].start >= at["J1/lay up"].finish + cure_ticks
    late = next(one for one in plan.answer.orders if one.order == "J1")
    assert late.tardy_days >= 1  # the cure alone goes past its day
    for one in (one for one in plan.answer.occupations if one.resource == "H2"):
        apart = one.finish <= held["J2", "hull"].start
        apart |= one.start >= held["J2", "hull"].finish
        assert apart or one.order == "J2"


def test_a_job_that_was_dropped_is_seen() -> None:
    """A plan without a job is not one of the data that have it."""
    found = compare(build_problem(book(WARRANTY)), build_problem(book()))
    assert any("J2 is in the data, but not in the plan" in one for one in found)


def test_a_pin_keeps_the_repair_in_its_mold() -> None:
    """Pinning the people of a repair does not let its mold go."""
    pinned = replace(book(), locks=(Lock("J2", "polish", None, None, ("L1",)),))
    (one,) = build_problem(pinned).committed
    assert (one.why, one.mold, one.people) == ("locked", "H2", ("L1",))


def test_jobs_are_no_boats() -> None:
    """The report counts them apart, and the pace of the yard without them."""
    plan = make_plan(book(), REQUEST).plan
    text = "\n".join(report_lines(plan))
    assert "2 boats and 2 other jobs from" in text
    assert re.search(r"Of 2 boats and 2 other jobs, \d (is|are) late\.", text)
    alone, both = (
        limits_of(compile_problem(build_problem(one, horizon_days=120)))
        for one in (small_book(), book())
    )
    assert alone.boats_a_year == both.boats_a_year


def test_the_difference_of_plans_counts_jobs_apart() -> None:
    """What moved is told of boats and other jobs, not of boats alone."""
    plan = make_plan(book(), REQUEST).plan
    told = word_lines(difference(plan, plan))
    assert told == ["The two plans are the same: every boat, step and person."]
    later = tuple(
        replace(one, finish=one.finish + plan.problem.axis.ticks_per_day)
        if one.order == "J2"
        else one
        for one in plan.answer.orders
    )
    moved = replace(plan, answer=replace(plan.answer, orders=later))
    text = "\n".join(word_lines(difference(plan, moved)))
    assert "Finish moved: 1 of 2 boats and 2 other jobs, 1 later" in text


def test_a_quote_leaves_jobs_where_they_are() -> None:
    """A boat is dated beside the jobs of the plan, none of whose steps moves."""
    with_jobs = book()
    plan = make_plan(with_jobs, REQUEST).plan
    asked = replace(boat("B3"), order=NAME)
    found = quote(replace(with_jobs, orders=(*with_jobs.orders, asked)), plan)
    before, after = (
        {
            one.operation: (one.start, one.finish)
            for one in of.answer.operations
            if one.operation.startswith(("J1/", "J2/"))
        }
        for of in (plan, found.plan)
    )
    shift = found.plan.problem.axis.tick_floor(plan.problem.axis.start)
    assert after == {k: (a + shift, b + shift) for k, (a, b) in before.items()}
