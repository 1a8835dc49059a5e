"""What a plan asks of people and rooms, against figures added up by hand.

The small plan runs from Monday 2027-03-08 00:00 to Monday 2027-03-29 08:00, which is
511 hours: clocks go forward on 14 March. A lamination day gives 7.75 hours a person, a
shop day 8; Friday 2 April is a holiday, and LM-02 is away on 12 March, RG-01 on 22 and
23 March. The hours by station are those beside `small_plan.LEVELS`.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from scheduler.load import (
    LateWait,
    hardest_worked_mold,
    late_waits,
    people_week_load,
    resource_use,
    skill_week_load,
    station_week_load,
    weeks_of,
)
from scheduler.plan import Plan
from scheduler.waiting_for import Causes
from tests.scheduler.small_plan import small_plan
from tests.scheduler.small_yard import at

PLAN = small_plan()
WEEKS = [date(2027, 3, day) for day in (8, 15, 22, 29)]
# Five people laminate, one of them (RG-02) with the hours of the shop.
LAMINATORS: list[float] = [4 * 38.75 + 40 - 7.75, 195, 195, 4 * 31 + 32]
PAINTERS: list[float] = [77.5, 77.5, 77.5, 62]
RIGGERS: list[float] = [80, 80, 80 - 2 * 8, 64]


def _changed(**changes: Any) -> Plan:
    return replace(PLAN, problem=replace(PLAN.problem, **changes))


def test_weeks_run_from_now_to_the_last_finish() -> None:
    """No week from that of `now` to that of the last finish is left out."""
    assert weeks_of(PLAN) == WEEKS


def test_stations_have_the_hours_of_their_segments_and_people() -> None:
    """A station has the hours of its segments and of all who can work there."""
    rows: dict[str, list[tuple[float, float]]] = defaultdict(list)
    for one in station_week_load(PLAN):
        rows[one.station].append((one.hours, one.capacity_hours))
    hours: dict[str, tuple[list[float], list[float]]] = {
        "booth": ([10, 4, 0, 0], PAINTERS),
        "mold room": ([5.5, 6.5, 3, 0], LAMINATORS),
        "lay-up": ([22, 12, 0, 0], LAMINATORS),
        "assembly": ([0, 4, 4, 0], LAMINATORS),
        "rigging": ([0, 15, 41, 0], RIGGERS),
    }
    # In the order of the yard; nobody works at the hoist, it is only taken.
    assert list(rows) == list(hours)
    assert rows == {name: list(zip(a, b)) for name, (a, b) in hours.items()}


def test_skills_have_the_hours_of_all_their_stations() -> None:
    """A skill has the hours of every station and of everyone who has it."""
    rows: dict[str, list[tuple[date, float, float]]] = defaultdict(list)
    for one in skill_week_load(PLAN):
        rows[one.skill].append((one.week, one.hours, one.capacity_hours))
    assert rows == {
        "gel_coat": list(zip(WEEKS, [10, 4, 0, 0], PAINTERS)),
        "laminate": list(zip(WEEKS, [27.5, 22.5, 7, 0], LAMINATORS)),
        "rig": list(zip(WEEKS, [0, 15, 41, 0], RIGGERS)),
    }


def test_people_with_several_skills_are_counted_once_in_a_set() -> None:
    """The hours of a set of skills stand against each of its people once."""
    rows = [one for one in people_week_load(PLAN) if one.week == WEEKS[1]]
    assert {one.skills: (one.hours, one.capacity_hours) for one in rows} == {
        ("gel_coat",): (4, 77.5),
        ("rig",): (15, 80),
        ("gel_coat", "laminate"): (26.5, 195),
        ("gel_coat", "laminate", "rig"): (41.5, 235),
    }


def test_the_first_week_counts_from_now() -> None:
    """What people could have given before `now` is no capacity."""
    plan = _changed(now=at("03-11 00:00"))
    first = next(one for one in skill_week_load(plan) if one.skill == "gel_coat")
    assert first.week == WEEKS[0]
    assert first.capacity_hours == 2 * 2 * 7.75


def test_rooms_are_open_but_for_outages() -> None:
    """Days run from now to the last finish; an outage in between is taken out."""
    rows = {one.resource: one for one in resource_use(PLAN)}
    taken = {"H23-1": 373, "D23-1": 221.75, "H28-1": 0, "Bay 1": 337.5}
    taken["Stand 1"] = 308.5
    assert {name: 24 * one.occupied_days for name, one in rows.items()} == taken
    # The outage of the stand on 30 March comes after the last finish.
    opened = dict.fromkeys(taken, 511.0) | {"H23-1": 511 - 8.5}
    assert {
        name: pytest.approx(24 * one.open_days) for name, one in rows.items()
    } == opened
    assert [one.kind for one in rows.values()] == ["mold"] * 3 + ["bay", "deck stand"]
    assert rows["H23-1"].share == pytest.approx(373 / 502.5)


def test_a_place_for_two_is_open_twice() -> None:
    """A place counts once for each part that it has room for."""
    bay, stand = PLAN.problem.places
    rows = resource_use(_changed(places=(replace(bay, capacity=2), stand)))
    use = next(one for one in rows if one.resource == "Bay 1")
    assert 24 * use.open_days == 2 * 511
    assert use.share == pytest.approx(337.5 / 1022)


def test_a_mold_out_of_use_throughout_has_no_share() -> None:
    """Nothing is divided by no open time."""
    whole = ((0, PLAN.problem.axis.ticks),)
    molds = tuple(replace(one, unavailable=whole) for one in PLAN.problem.molds)
    rows = resource_use(_changed(molds=molds))
    assert [one.share for one in rows if one.kind == "mold"] == [0, 0, 0]


def test_the_hardest_worked_mold_has_the_largest_share() -> None:
    """The mold with the largest share is named; a yard without molds has none."""
    mold = hardest_worked_mold(PLAN)
    assert mold is not None
    assert mold.resource == "H23-1"
    assert hardest_worked_mold(_changed(molds=())) is None


def test_late_boats_say_what_their_chain_waits_for() -> None:
    """Only boats that are late count, with the waits along the chain that ends them.

    B101 is late. Its hull is laminated on 12 March at 11:30 though it could be on
    10 March at 06:00, and joined on 17 March at 06:00 though it could be on 15 March
    at 07:30: 53.5 and 46.5 hours. People and rooms were free, but on 12 March from
    06:00 to 07:00: two are on the other deck, one is away, and RG-02 begins at 07:00.
    """
    assert late_waits(PLAN) == [
        LateWait("its turn", 99 / 24, ("B101",)),
        LateWait("people who can laminate", 1 / 24, ("B101",)),
    ]


def test_waits_of_several_late_boats_are_summed_by_what_for() -> None:
    """The days of all late boats are added by resource, and the longest comes first.

    B102 waits 96.5 hours for the hull mold and 30.5 hours for the bay.
    """
    late = tuple(replace(one, tardy_days=1) for one in PLAN.answer.orders)
    plan = replace(PLAN, answer=replace(PLAN.answer, orders=late))
    assert late_waits(plan, Causes(plan)) == [
        LateWait("its turn", 99 / 24, ("B101",)),
        LateWait("a hull mold for tern-23", 96.5 / 24, ("B102",)),
        LateWait("a free bay", 30.5 / 24, ("B102",)),
        LateWait("people who can laminate", 1 / 24, ("B101",)),
    ]


def test_nothing_holds_a_late_boat_up_where_none_is_late() -> None:
    """Without late boats there is nothing to list."""
    early = tuple(replace(one, tardy_days=0) for one in PLAN.answer.orders)
    assert late_waits(replace(PLAN, answer=replace(PLAN.answer, orders=early))) == []
