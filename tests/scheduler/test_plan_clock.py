"""When work could run had it begun at another time, by hand on the small calendars.

Lamination works 06:00 to 14:30 with relieved breaks at 09:00 (15 minutes) and 12:00
(30 minutes); the shop works 07:00 to 15:30 and stops from 12:00 to 12:30.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from scheduler.plan_clock import PlanClock
from tests.scheduler.small_plan import small_plan
from tests.scheduler.small_yard import at, spans

PLAN = small_plan()
CLOCK = PlanClock(PLAN.problem)
OPERATIONS = {one.id: one for one in PLAN.problem.operations}
PLANNED = {one.operation: one for one in PLAN.answer.operations}
SKIN = "B102/hull.skin"  # one go of three hours
PREP = "B102/hull.prep"  # an hour and a half that may pause
INSPECT = "B102/final.inspect"  # takes no time


@pytest.mark.parametrize(
    ("operation", "asked", "begins"),
    [
        (SKIN, "03-16 05:00", "03-16 06:00"),
        (SKIN, "03-16 09:05", "03-16 09:00"),  # a tick begins at 09:00
        (SKIN, "03-16 11:30", "03-16 11:30"),
        (SKIN, "03-16 11:45", "03-17 06:00"),  # would end at 14:45
        (SKIN, "03-19 12:00", "03-22 06:00"),  # over the weekend
        (PREP, "03-16 09:00", "03-16 09:15"),  # does not begin in a break
        (PREP, "03-16 14:15", "03-16 14:15"),
        (INSPECT, "03-20 03:00", "03-20 03:00"),
    ],
)
def test_first_start(operation: str, asked: str, begins: str) -> None:
    """Work in one go begins where all of it fits, other work at any open tick."""
    found = CLOCK.first_start(OPERATIONS[operation], PLANNED[operation], at(asked))
    assert found == at(begins)


@pytest.mark.parametrize(
    ("operation", "before", "begins"),
    [
        (SKIN, "03-17 06:00", "03-16 11:30"),
        (SKIN, "03-16 11:00", "03-16 10:45"),
        (PREP, "03-16 06:00", "03-15 14:15"),
        (INSPECT, "03-20 03:00", "03-20 02:45"),
    ],
)
def test_last_start(operation: str, before: str, begins: str) -> None:
    """The last instant before another at which work could still begin."""
    found = CLOCK.last_start(OPERATIONS[operation], PLANNED[operation], at(before))
    assert found == at(begins)


def test_no_start_is_left_at_the_ends_of_the_axis() -> None:
    """None where the calendar has no room before or after."""
    skin, planned = OPERATIONS[SKIN], PLANNED[SKIN]
    assert CLOCK.first_start(skin, planned, PLAN.problem.axis.ticks) is None
    assert CLOCK.last_start(skin, planned, 0) is None


def test_segments_of_the_plan_come_out_at_its_own_starts() -> None:
    """Every operation begun where the plan has it works the plan's segments."""
    for name, planned in PLANNED.items():
        if planned.segments:
            begun = planned.segments[0][0]
            found = CLOCK.segments(OPERATIONS[name], planned, begun)
            assert found == planned.segments


def test_pausable_work_goes_on_after_breaks_and_nights() -> None:
    """Work that may pause is cut at breaks and stops, work in one go is not."""
    prep = CLOCK.segments(OPERATIONS[PREP], PLANNED[PREP], at("03-15 14:00"))
    assert prep == spans("03-15 14:00 14:30", "03-16 06:00 07:00")
    skin = CLOCK.segments(OPERATIONS[SKIN], PLANNED[SKIN], at("03-16 08:00"))
    assert skin == spans("03-16 08:00 11:00")


def test_people_need_not_be_there_in_a_relieved_break() -> None:
    """The open part of a span leaves breaks out."""
    found = CLOCK.open_part(OPERATIONS[SKIN], (at("03-16 08:00"), at("03-16 11:00")))
    assert found == spans("03-16 08:00 09:00", "03-16 09:15 11:00")


def test_a_wait_on_the_work_clock_counts_open_time() -> None:
    """Two hours of shop time from Friday 14:30 end on Monday at 08:00."""
    wait = next(one for one in PLAN.problem.waits if one.clock == "work")
    wait = replace(wait, min_minutes=120)
    since = at("03-26 14:30")
    assert CLOCK.after_wait(wait, since) == at("03-29 08:00")
    assert CLOCK.after_wait(replace(wait, clock="wall"), since) == at("03-26 16:30")
    assert CLOCK.after_wait(wait, PLAN.problem.axis.ticks) == PLAN.problem.axis.ticks
