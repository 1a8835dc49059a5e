"""Windows of overtime in the files: what is read, and what is refused."""

from __future__ import annotations

from datetime import date, time

import pytest

from models.loading import load_book
from models.yard import Overtime, OvertimeLimits
from tests.models.loading.conftest import TinyYard

SATURDAY = (
    'id = "saturday", calendar = "shop", days = ["sat"], start = "06:00", '
    'end = "11:00", first = 2027-03-06, last = 2027-04-24, price_per_hour = 42.5'
)
LIMITS = "[overtime_limits]\nhours_per_day = 5\nhours_per_week = 8\n"
SHOP = 'skills = ["laminate"], calendar = "shop" }'


def offer(tiny: TinyYard, *entries: str, limits: str = LIMITS) -> None:
    """Give the yard overtime."""
    rows = ", ".join(f"{{ {one} }}" for one in entries)
    tiny.replace("yard.toml", "\ncalendars", f"\novertime = [{rows}]\ncalendars")
    tiny.replace("yard.toml", "[objective]", f"{limits}\n[objective]")


def test_windows_and_limits_are_read(tiny: TinyYard) -> None:
    """Days, times, dates, price and limits are what the file says; all may be asked."""
    offer(tiny, SATURDAY)
    yard = load_book(tiny.folder).yard
    assert yard.overtime == (
        Overtime(
            "saturday",
            "shop",
            (6,),
            time(6),
            time(11),
            date(2027, 3, 6),
            date(2027, 4, 24),
            42.5,
        ),
    )
    assert yard.overtime_limits == OvertimeLimits(5, 8)
    assert all(one.overtime for one in yard.people)


def test_who_may_not_be_asked(tiny: TinyYard) -> None:
    """A person can be left out of all overtime."""
    tiny.replace("yard.toml", SHOP, SHOP.replace(" }", ", overtime = false }"))
    people = load_book(tiny.folder).yard.people
    assert [one.overtime for one in people].count(False) == 1


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ('"11:00"', '"05:00"', "overtime that ends after it starts"),
        ("2027-04-24", "2027-03-01", "a first day that is not after the last day"),
        ("2027-04-24", "2028-04-24", "at most a year"),
        ('"06:00"', '"06:10"', "a time on a tick of 15 minutes"),
        ('"shop"', '"shed"', "a calendar"),
        ('"11:00"', '"12:00"', "at most 5 h, the limit of one person"),
        ('"sat"', '"fri"', "time outside the shift, 06:00 to 14:30"),
        ("42.5", "-1", "at least 0"),
    ],
)
def test_a_window_that_cannot_be_meant(
    tiny: TinyYard, old: str, new: str, expected: str
) -> None:
    """Each thing that is wrong with a window is a fault of its own."""
    offer(tiny, SATURDAY.replace(old, new))
    fault = tiny.fault()
    assert fault.where.startswith("overtime.saturday")
    assert expected in fault.expected


def test_overtime_needs_limits(tiny: TinyYard) -> None:
    """Nobody is asked for any number of hours."""
    offer(tiny, SATURDAY, limits="")
    fault = tiny.fault()
    assert (fault.where, fault.found) == ("overtime_limits", "nothing")


def test_windows_of_one_calendar_do_not_overlap(tiny: TinyYard) -> None:
    """An hour is offered once, at one price; on other dates it may be offered anew."""
    other = SATURDAY.replace('"saturday"', '"early"').replace("06:00", "05:00")
    later = other.replace("2027-04-24", "2027-12-18").replace("03-06", "05-01")
    later = later.replace('"early"', '"later"').replace('"11:00"', '"09:00"')
    offer(tiny, SATURDAY, other.replace('"11:00"', '"08:00"'), later)
    fault = tiny.fault()
    assert (fault.where, fault.found) == (
        "overtime.early",
        "05:00 to 08:00 as well as that of 'saturday'",
    )


def test_each_id_occurs_once(tiny: TinyYard) -> None:
    """Two entries of one name are a fault."""
    sunday = SATURDAY.replace('"sat"', '"sun"')
    offer(tiny, SATURDAY, sunday)
    assert tiny.fault().found == "'saturday' more than once"


@pytest.mark.parametrize(
    ("day", "refused"), [("03-13", []), ("03-14", ["start"]), ("05-01", ["start"])]
)
def test_work_is_pinned_to_a_window_on_offer(
    tiny: TinyYard, day: str, refused: list[str]
) -> None:
    """A pin may lie in overtime, but not on a day that offers none."""
    offer(tiny, SATURDAY)
    heading = "order,operation,start,mold,people"
    tiny.write("locks.csv", f"{heading}\nB-2,hull.prep,2027-{day}T07:00,,\n")
    assert [one.where.split(", ")[-1] for one in tiny.faults()] == refused
