"""Services of molds by people: planned as work, told as services, kept as committed."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from models.orders import Book
from models.yard import Mold
from scheduler.building.build import build_problem
from scheduler.checker import check
from scheduler.compare import compare
from scheduler.compiling.compile import compile_problem
from scheduler.decoding.decoder import due_positions, facts_state, open_boats
from scheduler.export import tables
from scheduler.load import skill_week_load
from scheduler.plan import Occupation, Plan
from scheduler.plan_file import plan_to_json
from scheduler.planner import Request, make_plan
from scheduler.problem import Mold as PlannedMold
from scheduler.problem import Problem, Service
from scheduler.report import service_lines
from scheduler.searching.chain import new_choices
from scheduler.searching.reinsert import new_plant, run_reinsertions
from scheduler.searching.search import Budget
from scheduler.service_work import most_services, with_services, worth_telling
from scheduler.solution import snapshot
from tests.scheduler.random_problems import random_problem
from tests.scheduler.shop_rules import RULES
from tests.scheduler.small_book import boat, small_book
from tests.scheduler.small_yard import at, small_problem
from tests.scheduler.sound_plans import violations

REQUEST = Request(Budget(None, 60), workers=1)
NEEDS = {
    "service_every": 1,
    "service_hours": 6.0,
    "service_skill": "laminate",
    "service_crew": 2,
}


def book(**changes: object) -> Book:
    """Three boats and one mold, that two people service for 6 h after each pull."""
    yard = small_book().yard
    mold = replace(Mold("H1", "hull", ("wren",)), **(NEEDS | changes))  # type: ignore[arg-type]
    orders = tuple(boat(f"B{n}", promised=date(2026, 12, 18)) for n in (1, 2, 3))
    return small_book(yard=replace(yard, molds=(mold,)), orders=orders)


@pytest.fixture(scope="module")
def plan() -> Plan:
    """A plan of that book."""
    return make_plan(book(), REQUEST).plan


def test_people_service_the_mold_between_its_pulls(plan: Plan) -> None:
    """Two services for three boats, each by two laminators in open time."""
    assert check(plan_to_json(plan)) == []
    services = plan.answer.services
    assert len(services) == 2
    stays = sorted(
        (one.start, one.finish)
        for one in plan.answer.occupations
        if one.resource == "H1"
    )
    for service, before, after in zip(services, stays, stays[1:], strict=False):
        assert before[1] <= service.start < service.finish <= after[0]
    able = {one.id for one in plan.problem.people if "laminate" in one.skills}
    for service in services:
        assert {one.person for one in service.people} <= able
        assert len({one.person for one in service.people}) >= 2


def test_services_are_no_orders_of_the_plan(plan: Plan) -> None:
    """The file tells them as services: no order, operation or occupation is one."""
    assert [one.order for one in plan.answer.orders] == ["B1", "B2", "B3"]
    assert {one.operation for one in plan.answer.operations} == {
        one.id for one in plan.problem.operations
    }
    assert {one.order for one in plan.answer.occupations} == {"B1", "B2", "B3"}
    assert compare(plan.problem, build_problem(book())) == []


def test_the_mold_waits_for_people() -> None:
    """A service comes no sooner than a second laminator is back from leave."""
    base = book()
    away = ((date(2026, 12, 3), date(2027, 1, 8)),)
    people = tuple(
        replace(one, leave=away) if one.id in ("L2", "L3") else one
        for one in base.yard.people
    )
    later = replace(base, yard=replace(base.yard, people=people))
    plan = make_plan(later, REQUEST).plan
    assert check(plan_to_json(plan)) == []
    back = plan.problem.axis.day_start(date(2027, 1, 9))
    assert all(one.start >= back for one in plan.answer.services)
    assert plan.answer.services
    mold = replace(later.yard.molds[0], service_crew=1)
    alone = replace(later, yard=replace(later.yard, molds=(mold,)))
    by_one = make_plan(alone, REQUEST).plan
    assert min(one.start for one in by_one.answer.services) < back


def test_hours_and_people_are_told(plan: Plan) -> None:
    """They count as hours of the skill, and stand in tables and report."""
    bare = replace(plan, answer=replace(plan.answer, services=()))
    hours, without = (
        sum(one.hours for one in skill_week_load(each) if one.skill == "laminate")
        for each in (plan, bare)
    )
    assert hours - without == pytest.approx(2 * 2 * 6.0)
    rows = [row for row in tables(plan)["people"][1:] if row[5] == "service of H1"]
    assert sum(float(row[3] or 0) for row in rows) == pytest.approx(2 * 2 * 6.0)
    told = "\n".join(service_lines(plan))
    assert "people" in told
    assert plan.answer.services[0].people[0].person in told


def test_a_committed_service_stays_with_its_people(plan: Plan) -> None:
    """Planned around the plan, its services stand, and one more boat fits in."""
    more = replace(book(), orders=(*book().orders, boat("B4")))
    again = make_plan(more, replace(REQUEST, committed=plan)).plan
    assert check(plan_to_json(again)) == []
    assert set(again.problem.services) == set(plan.answer.services)
    assert set(plan.answer.services) <= set(again.answer.services)


def test_a_service_gives_way_to_leave(plan: Plan) -> None:
    """Where one of its people is away now, it is planned anew."""
    first = plan.answer.services[0]
    day = plan.problem.axis.local(first.start).date()
    person = first.people[0].person
    base = book()
    people = tuple(
        replace(one, leave=((day, day),)) if one.id == person else one
        for one in base.yard.people
    )
    changed = replace(base, yard=replace(base.yard, people=people))
    again = make_plan(changed, replace(REQUEST, committed=plan)).plan
    assert check(plan_to_json(again)) == []
    assert first not in again.problem.services
    assert len(again.answer.services) == 2


def test_a_service_of_another_kind_is_planned_anew(plan: Plan) -> None:
    """Nothing stands of what was planned with another crew, or other hours."""
    for changes in ({"service_crew": 1}, {"service_hours": 4.0}):
        problem = build_problem(book(**changes), committed=plan)
        assert problem.services == ()


def test_boats_put_in_again_keep_the_services() -> None:
    """Whatever boats are taken out of a plan and put in again, molds are serviced."""
    checked = moved = 0
    for seed in range(12):
        problem = RULES["mold service by people"](random_problem(seed), seed)
        a = (compilation := compile_problem(problem)).arrays
        facts, _ = facts_state(a)
        start, due = new_choices(a, open_boats(a)), due_positions(a)
        plant = new_plant(a, facts, start, due, seed) if len(a.service_list) else None
        if plant is None:
            continue
        before = plant.state.start.copy()
        run_reinsertions(a, plant, due, 300, 50.0, 5.0, 0)
        found = violations(compilation, snapshot(a, plant.state))
        assert not found, (seed, found)
        checked += found is not None
        moved += bool((before != plant.state.start).any())
    assert checked >= 6
    assert moved >= 4


@pytest.mark.parametrize(
    ("pulls", "every", "most"),
    [(0, 3, 0), (3, 3, 0), (4, 3, 1), (5, 3, 2), (8, 3, 3), (9, 3, 4), (3, 1, 2)],
)
def test_no_plan_needs_more_services(pulls: int, every: int, most: int) -> None:
    """Trying every way to part pulls of which no two neighbors could be joined."""
    assert most_services(pulls, every) == most

    def longest(left: int, before: int) -> int:
        """Most further stretches, each too much to be joined to the one before it."""
        return max(
            (
                1 + longest(left - own, own)
                for own in range(1, min(left, every) + 1)
                if own + before > every
            ),
            default=0,
        )

    tried = (longest(pulls - own, own) for own in range(1, min(pulls, every) + 1))
    assert max(tried, default=0) == most


def test_a_yard_without_such_service_is_left_alone() -> None:
    """No order is added, and everything that a plan may need is there."""
    problem = small_problem()
    found = with_services(problem)
    assert found.problem is problem
    assert found.complete
    a = compile_problem(problem).arrays
    assert (a.boats, len(a.service_list)) == (len(problem.orders), 0)


def _shop() -> Problem:
    mold = PlannedMold(
        "D23-1", "deck", ("tern-23",), pulls=1, service_every=2, service_hours=4.0,
        service_calendar="shop", service_skill="laminate", service_crew=1,
    )  # fmt: skip
    return replace(small_problem(), molds=(mold,))


def test_what_is_not_needed_is_not_told() -> None:
    """One behind the last pull, or between few, is left out unless it is given."""
    spans = ("03-10 06:00", "03-12 06:00"), ("03-16 06:00", "03-18 06:00")
    orders = [one.order for one in small_problem().orders]
    held = [
        Occupation("D23-1", order, "deck", at(start), at(end))
        for order, (start, end) in zip(orders, spans, strict=True)
    ]
    early, needed, last = (
        Service("D23-1", at(f"03-{day} 08:00"), at(f"03-{day} 12:30"))
        for day in ("08", "15", "22")
    )
    shop = _shop()
    assert worth_telling(shop, [early, needed, last], held) == (needed,)
    assert worth_telling(shop, [early, last], held) == (early,)
    given = replace(shop, services=(last,))
    assert worth_telling(given, [early, needed, last], held) == (needed, last)
