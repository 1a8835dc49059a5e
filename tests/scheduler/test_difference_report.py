"""The difference of two plans in words, tables and objects."""

from __future__ import annotations

import json
from dataclasses import replace

from scheduler.difference import difference
from scheduler.difference_report import (
    as_object,
    operation_lines,
    table_lines,
    word_lines,
)
from scheduler.plan import OrderResult
from tests.scheduler.small_plan import overtime_plan, small_plan
from tests.scheduler.small_yard import at
from tests.scheduler.test_difference import (
    PLAN,
    with_operation,
    with_promise,
    with_result,
    without_boat,
)

IN_TIME = with_result(PLAN, OrderResult("B101", at("03-18 12:00"), None, 0))
WIDEST = 130


def test_the_same_plan_takes_one_line() -> None:
    """Where nothing differs, nothing else is said."""
    found = difference(PLAN, small_plan())
    assert word_lines(found) == [
        "The two plans are the same: every boat, step and person."
    ]
    assert table_lines(found) == []
    assert operation_lines(found) == []


def test_broken_promises_come_first() -> None:
    """The first line names the promises that break, with date and finish."""
    breaks, heals, *rest = word_lines(difference(IN_TIME, PLAN))
    assert breaks.startswith("Promises that break: B101 (promised 2027-03-19, finish")
    assert "2027-03-23" in breaks
    assert heals == "Promises that heal: none."
    told = (
        "Finish moved: 1 of 2 boats, 1 later, 0 earlier; farthest B101, 5 days later."
    )
    assert told in rest
    assert rest[-1].startswith("Weighted working days late: 6 before, 6 after")


def test_healed_promises_and_new_boats_are_named() -> None:
    """Whatever becomes better, and whatever is in one plan only, has its line."""
    lines = word_lines(difference(PLAN, IN_TIME))
    assert lines[0] == "Promises that break: none."
    assert lines[1].startswith("Promises that heal: B101")
    alone = without_boat(PLAN, "B102")
    assert "Only in the later plan: B102." in word_lines(difference(alone, PLAN))
    assert "Only in the earlier plan: B102." in word_lines(difference(PLAN, alone))


def test_a_date_promised_anew_is_no_healing() -> None:
    """A promise that is kept only because it was moved is told as such."""
    later = with_promise(PLAN, "B101", "2027-03-26")
    later = with_result(later, OrderResult("B101", at("03-23 12:00"), None, 0))
    lines = word_lines(difference(PLAN, later))
    assert lines[1] == "Promises that heal: none."
    assert lines[2] == "Dates promised anew: B101 2027-03-19 → 2027-03-26."


def test_boats_and_people_stand_in_tables() -> None:
    """Only boats of which something changed have a row; people have their hours."""

    def by_other(one):  # type: ignore[no-untyped-def]
        return replace(one, people=(replace(one.people[0], person="LM-02"),))

    found = difference(PLAN, with_operation(PLAN, "B102/deck.prep", by_other))
    lines = table_lines(found)
    (row,) = [line.split() for line in lines if line.startswith("B102")]
    assert row[-2:] == ["0", "1"]
    assert not any(line.startswith("B101") for line in lines)
    assert [line.split()[0] for line in lines if line.startswith("LM-")] == [
        "LM-02",
        "LM-04",
    ]
    (row,) = operation_lines(found)[3:]
    assert row.split() == [
        *("B102/deck.prep", "2027-03-11", "10:00", "2027-03-11", "10:00"),
        *("LM-04", "LM-02"),
    ]
    assert all(len(line) <= WIDEST for line in lines)


def test_the_object_holds_everything() -> None:
    """For other programs: dates, instants and counts, as JSON can write them."""
    told = json.loads(json.dumps(as_object(difference(IN_TIME, PLAN))))
    assert not told["same"]
    (boat,) = told["boats"]
    assert boat["promise"] == "breaks"
    assert boat["finish"] == {"before": "2027-03-18", "after": "2027-03-23"}
    assert boat["days_later"] == 5
    assert boat["late_days"] == {"before": 0, "after": 2}


def test_the_price_of_overtime_is_told_where_there_is_any() -> None:
    """Before and after, in words and for other programs."""
    found = difference(PLAN, overtime_plan())
    assert "Price of overtime: 0 before, 120 after." in word_lines(found)
    assert as_object(found)["overtime"] == {"before": 0.0, "after": 120.0}
    assert not any("overtime" in line for line in word_lines(difference(IN_TIME, PLAN)))
