"""The problem says everything that a plan of the book must respect."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from models.axis import local_instant
from models.calendars import expand
from models.errors import DataFaults
from models.orders import Arrival
from models.yard import Outage
from scheduler.building.build import build_problem, estimate_horizon_days
from scheduler.plan_file import problem_from_json, problem_to_json
from scheduler.problem import Problem
from tests.scheduler.small_book import (
    AS_OF,
    begun,
    boat,
    clock,
    done,
    small_book,
    small_yard,
)

ZONE = ZoneInfo("America/New_York")


def day_tick(problem: Problem, day: date) -> int:
    """Count ticks from the start of the axis to a local midnight, by true time."""
    passed = local_instant(day, time(0), ZONE) - problem.axis.start
    return passed // timedelta(minutes=15)


def earliest(problem: Problem) -> dict[str, int]:
    """List when operations may start."""
    return {one.id: one.earliest for one in problem.operations}


@given(
    st.sampled_from([5, 15, 30]),
    st.dates(date(2026, 9, 1), date(2027, 6, 30)),
    st.integers(0, 600),
    st.booleans(),
)
def test_a_problem_survives_the_plan_file(
    tick_minutes: int, as_of: date, minutes: int, is_late: bool
) -> None:
    """A problem read back from the plan file is the same, to the tick."""
    before = as_of - timedelta(days=3)
    until = clock(f"{before}T06:00") + timedelta(minutes=minutes)
    outage = Outage(clock(f"{as_of}T07:10"), clock(f"{as_of}T18:00"))
    yard = small_yard(tick_minutes=tick_minutes, as_of=as_of)
    yard = replace(
        yard, molds=(*yard.molds[:1], replace(yard.molds[1], outages=(outage,)))
    )
    book = small_book(
        yard=yard,
        orders=(
            boat("B1", promised=as_of + timedelta(days=-9 if is_late else 40)),
            boat("B2", options=("tower",), graphics="stripe", release=as_of),
        ),
        in_hand=(done("B1", "prep", f"{before}T06:00", until.isoformat(), mold="H1"),),
    )
    problem = build_problem(book)
    assert problem_from_json(problem_to_json(problem)) == problem
    assert problem.committed[0].why == "done"


def test_the_axis_begins_on_the_monday_before_all_that_is_known() -> None:
    """The axis reaches back to the week of the first fact or date that has passed."""
    assert build_problem(small_book()).axis.iso(0) == "2026-11-30T00:00-05:00"
    late = small_book(orders=(boat("B1", promised=date(2026, 10, 1)),))
    assert build_problem(late).axis.iso(0) == "2026-09-28T00:00-04:00"
    started = small_book(
        in_hand=(begun("B1", "prep", "2026-11-18T06:00", 2, mold="H1"),)
    )
    assert build_problem(started).axis.iso(0) == "2026-11-16T00:00-05:00"
    wanted = small_book(orders=(boat("B1", wanted=date(2020, 1, 1)),))
    assert build_problem(wanted).axis.iso(0) == "2025-10-20T00:00-04:00"


def test_nothing_may_be_planned_before_the_start_of_today() -> None:
    """`now` is local midnight at the start of `as_of`, frozen days count from there."""
    problem = build_problem(small_book(yard=small_yard(as_of=date(2026, 12, 2))))
    wednesday = build_problem(
        small_book(
            yard=small_yard(as_of=date(2026, 12, 2)),
            orders=(boat("B1", promised=date(2026, 11, 24)),),
        )
    )
    assert problem.now == 2 * 96
    assert wednesday.axis.iso(wednesday.now) == "2026-12-02T00:00-05:00"
    assert wednesday.axis.iso(wednesday.frozen_until) == "2026-12-09T00:00-05:00"


def test_the_axis_ends_on_a_monday_after_the_horizon() -> None:
    """A given horizon is rounded up to whole weeks, over a change of the clocks."""
    problem = build_problem(small_book(), horizon_days=120)
    assert problem.axis.iso(problem.axis.ticks) == "2027-04-05T00:00-04:00"


def test_the_horizon_covers_work_and_dates() -> None:
    """Left alone, the horizon reaches two months beyond the last due date."""
    orders = (boat("B1", promised=date(2028, 2, 1)),)
    days = estimate_horizon_days(small_book(orders=orders))
    assert days >= (date(2028, 2, 1) - AS_OF).days + 60
    assert days % 7 == 0


def test_a_promised_boat_weighs_more_than_a_wanted_one() -> None:
    """The weight is the order's own times the yard's for promised or unpromised."""
    orders = {one.order: one for one in build_problem(small_book()).orders}
    assert orders["B1"].weight == 2 * 3
    assert orders["B2"].weight == 1 * 1
    assert (orders["B1"].promised, orders["B1"].wanted) == ("2026-12-18", "2026-12-01")
    assert (orders["B2"].promised, orders["B2"].wanted) == (None, "2027-01-08")


def test_work_begins_after_its_release() -> None:
    """No operation of an order starts before the order's release day."""
    orders = (boat("B1", release=date(2027, 3, 20)), boat("B2"))
    problem = build_problem(small_book(orders=orders))
    ticks = earliest(problem)
    released = day_tick(problem, date(2027, 3, 20))
    assert {ticks[name] for name in ticks if name.startswith("B1/")} == {released}
    assert {ticks[name] for name in ticks if name.startswith("B2/")} == {problem.now}
    assert [one.release for one in problem.orders] == [released, 0]


def test_an_operation_waits_for_the_last_of_its_items() -> None:
    """Confirmed dates outweigh expected ones; what has arrived binds nothing."""

    def item(name: str, *days: date | None) -> Arrival:
        return Arrival("B1", "rig", name, *days)

    arrivals = (
        item("engine", date(2026, 12, 1), date(2026, 12, 9), None),
        item("tank", date(2026, 12, 7), None, None),
        item("seats", date(2027, 2, 1), date(2027, 2, 1), date(2026, 11, 2)),
        item("wheel", date(2026, 11, 1), None, None),
    )
    problem = build_problem(small_book(arrivals=arrivals))
    assert earliest(problem)["B1/rig"] == day_tick(problem, date(2026, 12, 9))
    assert earliest(problem)["B1/soak"] == problem.now
    assert earliest(problem)["B2/rig"] == problem.now


def test_an_item_without_a_date_or_an_operation_is_a_fault() -> None:
    """An arrival without a date, or for no operation of the book, is a fault."""
    arrivals = (
        Arrival("B1", "rig", "engine", None, None, None),
        Arrival("B1", "tower", "arch", date(2026, 12, 1), None, None),
        Arrival("B9", "rig", "engine", date(2026, 12, 1), None, None),
    )
    with pytest.raises(DataFaults) as caught:
        build_problem(small_book(arrivals=arrivals))
    lines = [str(fault) for fault in caught.value.faults]
    assert len(lines) == 3
    assert lines[0].startswith("arrivals.csv: order B1, rig: found no date for engine")
    assert "order B1, tower" in lines[1]
    assert "order B9, rig" in lines[2]


def test_calendars_and_people_stand_as_expanded() -> None:
    """Calendars are the yard's on the axis; a person is there but for days of leave."""
    book = small_book()
    problem = build_problem(book)
    for data, built in zip(book.yard.calendars, problem.calendars, strict=True):
        assert (built.open, built.breaks) == expand(data, problem.axis)
        assert built.breaks_relieved == data.breaks_relieved
    shop = problem.calendars[0].open
    people = {one.id: one for one in problem.people}
    assert people["R2"].available == shop
    away = day_tick(problem, date(2026, 12, 3)), day_tick(problem, date(2026, 12, 5))
    kept = tuple(one for one in shop if one[1] <= away[0] or one[0] >= away[1])
    assert people["R1"].available == kept
    assert len(kept) == len(shop) - 4
    assert people["L3"].skills == ("laminate", "rig")


def test_molds_and_places_carry_their_outages() -> None:
    """Outages are spans in which a mold or place cannot be used."""
    outage = Outage(clock("2026-12-01T06:00"), clock("2026-12-02T14:30"))
    yard = small_yard()
    yard = replace(
        yard,
        molds=(replace(yard.molds[0], outages=(outage,), pulls=7), yard.molds[1]),
        places=(replace(yard.places[0], outages=(outage,), capacity=2),),
    )
    problem = build_problem(small_book(yard=yard))
    assert problem.molds[0].unavailable == ((96 + 24, 192 + 58),)
    assert (problem.molds[0].pulls, problem.molds[0].models) == (7, ("wren",))
    assert problem.molds[1].unavailable == ()
    assert problem.places[0].unavailable == ((96 + 24, 192 + 58),)
    assert problem.places[0].capacity == 2


def test_the_yards_rules_stand_in_the_problem() -> None:
    """Stations, buffer and objective are the yard's own."""
    yard = small_yard()
    problem = build_problem(small_book(yard=yard))
    capacities = {one.id: one.capacity for one in problem.stations}
    assert capacities == {"booth": 1, "floor": None, "hoist": 2, "bays": None}
    assert (problem.buffer_days, problem.delivery_calendar) == (5, "shop")
    assert problem.objective.levels == yard.objective.levels
    rates = problem.objective
    assert (rates.mold_day_rate, rates.place_day_rate, rates.flow_day_rate) == (3, 2, 1)


def test_a_book_without_orders_is_a_problem_without_work() -> None:
    """An empty book gives an empty problem, not an error."""
    problem = build_problem(small_book(orders=()))
    assert problem.operations == problem.waits == problem.parts == ()
    assert problem.axis.ticks > 0
