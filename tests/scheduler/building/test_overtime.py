"""Windows of overtime on the axis of a problem."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time, timedelta

import pytest

from models.yard import Overtime, OvertimeLimits, PartTime, Yard
from scheduler.building.build import build_problem
from scheduler.building.overtime import with_standing_windows
from scheduler.plan import Planned
from scheduler.problem import OvertimeLimit, OvertimeWindow, Problem
from tests.scheduler.small_book import small_book, small_yard
from tests.scheduler.small_plan import overtime_plan, small_plan

FIRST, LAST = date(2026, 11, 23), date(2027, 1, 9)


def entry(**changes: object) -> Overtime:
    """Saturday mornings of the shop, begun before the plan does."""
    saturday = Overtime("sat", "shop", (6,), time(6), time(11), FIRST, LAST, 40.0)
    return replace(saturday, **changes)  # type: ignore[arg-type]


def problem_of(*entries: Overtime, **changes: object) -> Problem:
    """The problem of the small book with overtime."""
    yard: Yard = small_yard(
        overtime=entries, overtime_limits=OvertimeLimits(5, 8), **changes
    )
    return build_problem(replace(small_book(), yard=yard))


def local(problem: Problem, window: OvertimeWindow) -> tuple[str, str]:
    """Start and end of a window, to the minute."""
    start, end = (problem.axis.local(tick) for tick in window.window)
    return f"{start:%m-%d %H:%M}", f"{end:%m-%d %H:%M}"


def test_each_day_is_a_window_from_today_on() -> None:
    """Days before the plan begins offer nothing any more; each day has its own name."""
    problem = problem_of(entry())
    assert [one.id for one in problem.overtime[:2]] == [
        "sat 2026-12-05",
        "sat 2026-12-12",
    ]
    assert len(problem.overtime) == 6
    assert local(problem, problem.overtime[0]) == ("12-05 06:00", "12-05 11:00")
    assert {one.price_per_hour for one in problem.overtime} == {40.0}


def test_holidays_are_left_alone() -> None:
    """A holiday of the calendar (2026-12-25, a Friday) offers no overtime."""
    fridays = entry(id="fri", days=(5,), start=time(15), end=time(17))
    ids = [one.id for one in problem_of(fridays).overtime]
    assert "fri 2026-12-18" in ids
    assert "fri 2026-12-25" not in ids


def test_people_of_the_calendar_who_are_there_are_asked() -> None:
    """Nobody of another trade, on leave, on part time, or who may not be asked."""
    people = small_yard().people
    names = {one.id: one for one in people}
    assert problem_of(entry()).overtime[0].people == ("R1", "R2")
    away = (date(2026, 12, 4), date(2026, 12, 5))
    for changed in (
        replace(names["R1"], leave=(away,)),
        replace(names["R1"], part_time=PartTime(days=(1, 2))),
        replace(names["R1"], overtime=False),
    ):
        rest = tuple(changed if one.id == "R1" else one for one in people)
        problem = problem_of(entry(), people=rest)
        assert problem.overtime[0].people == ("R2",)
    assert problem.overtime_limits == (OvertimeLimit("R2", 5, 8),)


def test_a_window_to_midnight_ends_with_the_day() -> None:
    """00:00 is the end of the local day."""
    night = entry(start=time(19), end=time(0))
    problem = problem_of(night)
    assert local(problem, problem.overtime[0]) == ("12-05 19:00", "12-06 00:00")


def test_a_window_over_a_change_of_the_clocks_has_its_true_length() -> None:
    """On 2027-03-14 clocks go forward at 02:00: from 00:00 to 05:00 are four hours."""
    sunday = date(2027, 3, 14)
    night = entry(days=(7,), start=time(0), end=time(5), first=sunday, last=sunday)
    book = small_book()
    yard = small_yard(overtime=(night,), overtime_limits=OvertimeLimits(5, 8))
    problem = build_problem(replace(book, yard=yard), horizon_days=150)
    (window,) = problem.overtime
    assert local(problem, window) == ("03-14 00:00", "03-14 05:00")
    hours = timedelta(minutes=15) * (window.window[1] - window.window[0])
    assert hours == timedelta(hours=4)


def test_a_yard_without_overtime_has_a_problem_without() -> None:
    """Nothing is offered and nobody is limited."""
    problem = build_problem(small_book())
    assert problem.overtime == ()
    assert problem.overtime_limits == ()


@pytest.mark.parametrize(
    ("operation", "opened", "standing"),
    [
        ("B102/deck.skin", {"early 1"}, "opened"),
        ("B102/deck.demold", {"early 1"}, None),
        ("B101/final.rig", {"early 1"}, None),
    ],
)
def test_work_that_stands_leaves_no_choice(
    operation: str, opened: set[str], standing: str | None
) -> None:
    """Work in a window keeps it open; work elsewhere, or of another trade, does not."""
    plan = overtime_plan()
    row = next(one for one in plan.answer.operations if one.operation == operation)
    problem = with_standing_windows(plan.problem, {operation: row}, frozenset(opened))
    assert problem.overtime[0].standing == standing


def test_work_that_pauses_over_a_window_keeps_it_shut() -> None:
    """Opened, the window would have to be worked; so it stays as it was planned."""
    plan = overtime_plan()
    rows = {one.operation: one for one in small_plan().answer.operations}
    demold: Planned = rows["B101/deck.demold"]  # pauses at 09:00 for a quarter hour
    (window,) = plan.problem.overtime
    inside = replace(window, window=(demold.segments[0][1], demold.segments[1][0]))
    problem = replace(plan.problem, overtime=(inside,))
    stands = {demold.operation: demold}
    shut = with_standing_windows(problem, stands, frozenset())
    assert shut.overtime[0].standing == "closed"
