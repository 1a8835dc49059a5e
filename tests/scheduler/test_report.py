"""The printed report, against a plan laid out by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from scheduler.bounding.book_bound import BookBound
from scheduler.plan import Answer, OrderResult, Plan
from scheduler.report import (
    bound_lines,
    changes_lines,
    days,
    length,
    level_lines,
    limit_lines,
    load_lines,
    order_lines,
    people_lines,
    report_lines,
    week_label,
)
from tests.scheduler.small_plan import serviced_plan, small_plan
from tests.scheduler.small_yard import at

PLAN = small_plan()
WIDEST = 100


def with_orders(*orders: OrderResult) -> Plan:
    """The small plan with other results."""
    answer: Answer = replace(PLAN.answer, orders=orders)
    return replace(PLAN, answer=answer)


def words(lines: list[str]) -> list[list[str]]:
    """The cells of a table, roughly."""
    return [line.split() for line in lines]


def test_each_order_has_its_date_finish_and_lateness() -> None:
    """A promised date stands as such, another is marked as proposed."""
    first, second = order_lines(PLAN)[2:4]
    assert first.split()[0] == "B101"
    assert "2027-03-23" in first
    assert first.endswith("2 days late")
    assert "2027-04-06 (proposed)" in second
    assert "2027-03-29" in second
    assert "on time" in second
    assert order_lines(PLAN)[-1] == "1 of 2 boats are late."


def test_hours_stand_beside_what_people_can_give() -> None:
    """Booth hours are 10 and 4 in the first two weeks (see `small_plan`)."""
    lines = load_lines(PLAN)
    assert words(lines[:1])[0][1:3] == ["2027-W10", "2027-W11"]
    booth = next(line for line in lines if line.startswith("booth"))
    hours = [cell.split("/")[0] for cell in booth.split()[1:]]
    assert hours == ["10", "4", "0", "0", "0"]


def test_people_in_shortest_supply_come_first() -> None:
    """Rigging has 56 h of 80 + 80 + 64 + 64, more than any other set of skills."""
    rows = words(people_lines(PLAN, {})[2:])
    assert rows[0] == [
        "rig",
        "0",
        "%",
        "19",
        "%",
        "64",
        "%",
        "0",
        "%",
        "-",
    ]  # 15 of 80 h, 41 of 64 h


def test_what_limits_is_named() -> None:
    """The hardest-worked mold and what the late boat waits for are named."""
    text = "\n".join(limit_lines(PLAN, {}))
    assert "Hardest-worked mold: H23-1" in text
    assert "Late boats wait longest for" in text
    assert "(B101)" in text


def test_no_late_boat_no_blame() -> None:
    """Where no boat is late nothing is said to hold one up."""
    rows = (replace(one, tardy_days=0) for one in PLAN.answer.orders)
    text = "\n".join(limit_lines(with_orders(*rows), {}))
    assert "No boat is late" in text
    assert "wait longest" not in text


def test_levels_have_value_bound_and_status() -> None:
    """A level without a bound says so; whether level 1 is proven is a sentence."""
    lines = level_lines(PLAN, due_date_value=9)
    assert words(lines[2:3])[0][:5] == ["1", "tardiness", "6", "6", "proven"]
    assert any("not stated" in line and "leveling" in line for line in lines)
    assert "Method: by hand; level 1 is proven best." in lines
    assert any("gives 9 weighted late days" in line for line in lines)


def test_the_whole_report_fits_a_page() -> None:
    """No line is wider than 100 columns; the zone is named once; cautions stand."""
    lines = report_lines(PLAN)
    assert max(map(len, lines)) <= WIDEST
    assert sum("America/New_York" in line for line in lines) == 1
    assert "Follow local codes, data sheets and licensed practice." in lines[-1]


def test_new_orders_and_moved_dates() -> None:
    """New orders are dated; each earlier date that moves says if its promise holds."""
    later = at("03-30 12:00")
    first = replace(PLAN.answer.orders[0], tardy_days=0, finish=at("03-19 12:00"))
    before = with_orders(first)
    second = replace(PLAN.answer.orders[1], finish=later)
    after = with_orders(PLAN.answer.orders[0], second)
    lines = changes_lines(before, after)
    text = "\n".join(lines)
    new = lines.index("NEW ORDERS BESIDE THE COMMITTED PLAN")
    moved = lines.index("EARLIER DATES THAT MOVE")
    assert lines[new + 3].split()[0] == "B102"
    assert lines[moved + 3].split()[:3] == ["B101", "2027-03-19", "2027-03-23"]
    assert "now broken, 2 days late" in lines[moved + 3]
    # A move inside the frozen window is told with its cause.
    assert "B101/deck.skin moved inside the frozen window: LM-03 was away" in text


def test_nothing_moves() -> None:
    """Where all earlier dates stand, that is said."""
    lines = changes_lines(PLAN, PLAN)
    assert "none: every earlier date stands" in lines
    assert "none" in lines[:3]


@pytest.mark.parametrize(
    ("monday", "label"),
    [
        (date(2026, 12, 28), "2026-W53"),  # ISO 8601: the week of its Thursday
        (date(2027, 1, 4), "2027-W01"),
        (date(2018, 12, 31), "2019-W01"),
    ],
)
def test_weeks_are_iso_weeks(monday: date, label: str) -> None:
    """A week belongs to the year that holds its Thursday (ISO 8601)."""
    assert week_label(monday) == label


def test_less_than_a_day_is_told_in_hours() -> None:
    """A wait of a quarter of a day is six hours, not no day."""
    assert [length(count) for count in (0.25, 1.0, 12.4)] == ["6 h", "1 day", "12 days"]


def test_one_day_is_a_day() -> None:
    """Days are counted in words."""
    assert [days(count) for count in (0, 0.9, 1, 2.4)] == [
        "0 days",
        "1 day",
        "1 day",
        "2 days",
    ]


def test_services_of_molds_are_listed() -> None:
    """A plan in which a mold is serviced says when; another has no such heading."""
    text = "\n".join(report_lines(serviced_plan()))
    assert "SERVICE OF MOLDS" in text
    assert "D23-1  2027-03-11 09:45  2027-03-11 10:00            5" in text
    assert "SERVICE OF MOLDS" not in "\n".join(report_lines(small_plan()))


def test_the_gap_is_told_in_days_and_what_the_bound_rests_on() -> None:
    """Per cent only of a bound that is not near zero; reasons only of this bound."""
    first, *rest = PLAN.answer.levels
    short = BookBound(40, ("B101",), (("laminate", 0.75), ("mold H1", 0.25)))

    def told(bound: float, bounding: BookBound | None) -> str:
        level = replace(first, value=100.0, bound=bound, status="bounded")
        answer = replace(PLAN.answer, levels=(level, *rest))
        return " ".join(bound_lines(replace(PLAN, answer=answer), bounding))

    assert "save more than 60 weighted late days (60 % of them)" in told(40, short)
    assert "laminate (75 %); mold H1 (25 %)" in told(40, short)
    assert "even alone in an empty yard: B101." in told(40, short)
    assert "rests on" not in told(50, short)
    assert told(2, None) == "No plan can save more than 98 weighted late days."
    assert "no resource is proven short" in told(0, BookBound(0, (), ()))


def test_a_proven_plan_has_no_gap_to_tell() -> None:
    """Nothing is said of a gap where the plan is proven best."""
    level = replace(PLAN.answer.levels[0], bound=PLAN.answer.levels[0].value)
    proven = replace(level, status="proven")
    answer = replace(PLAN.answer, levels=(proven, *PLAN.answer.levels[1:]))
    assert bound_lines(replace(PLAN, answer=answer)) == []
