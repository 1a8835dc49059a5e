"""Overtime of a plan in words, against the plan laid out by hand."""

from __future__ import annotations

from dataclasses import replace

from models.cautions import OVERTIME
from scheduler.load import people_week_load
from scheduler.overtime import WITH, as_worked
from scheduler.overtime_report import most_overtime, window_uses
from scheduler.report import overtime_lines, report_lines
from scheduler.waiting_for import Causes
from tests.scheduler.small_plan import overtime_plan, small_plan

PLAN = overtime_plan()


def test_each_opened_window_has_hours_people_and_price() -> None:
    """Two people work 1.5 h each at 40 an hour: 3 h for 120."""
    (use,) = window_uses(PLAN)
    assert use.people == ("LM-01", "LM-03")
    assert (use.hours, use.price) == (3.0, 120.0)
    line = overtime_lines(PLAN)[2]
    assert line.split() == ["early", "1", "04:00", "to", "06:00", "2", "3.0", "120"]


def test_the_most_of_one_person_stands_beside_the_limit() -> None:
    """Nobody works more than 1.5 h, on one day and so in its week."""
    assert most_overtime(small_plan()) is None
    most = most_overtime(PLAN)
    assert most is not None
    told = [(one.hours, one.person, one.first_day, one.limit) for one in most]
    assert told == [(1.5, "LM-01", "2027-03-12", 2), (1.5, "LM-01", "2027-03-08", 4)]
    assert any("limit 2 h" in line and "limit 4 h" in line for line in report())


def report() -> list[str]:
    """The whole report."""
    return report_lines(PLAN)


def test_a_proposal_of_overtime_carries_its_caution() -> None:
    """The published risks stand below the windows."""
    assert OVERTIME in " ".join(report())
    assert OVERTIME not in " ".join(report_lines(small_plan()))


def test_windows_that_stay_shut_are_told_in_one_line() -> None:
    """An offer that is not taken up needs no table and no caution."""
    shut = replace(PLAN, answer=small_plan().answer)
    assert overtime_lines(shut) == ["No window of overtime is opened; on offer: 1."]


def test_questions_to_a_plan_count_its_open_windows() -> None:
    """Reasons and capacities come from calendars with the windows in them, once."""
    worked = as_worked(PLAN)
    assert as_worked(worked) is worked
    assert "lamination" + WITH in {one.id for one in worked.problem.calendars}
    assert as_worked(small_plan()).problem == small_plan().problem
    reason = Causes(PLAN).waited_for("B102/deck.skin")
    assert reason.operation == "B102/deck.skin"
    with_it = sum(one.capacity_hours for one in people_week_load(PLAN))
    without = sum(one.capacity_hours for one in people_week_load(small_plan()))
    assert with_it > without
