"""How many days of a yard a book asks for."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from models.errors import UsageError
from models.sample import load
from models.sample.flow import Flow
from models.yard import Yard
from tests.models.sample import small


def days(yard: Yard, hours: dict[str, float], at: float = 1.0) -> int:
    """Length of the window for some hours."""
    return len(load.window(yard, load.Demand(hours, {}), at))


def test_the_window_is_as_long_as_the_hours_need() -> None:
    """31 h of one person at 80 % of 7.75 h a day need five days, at load 2 three."""
    yard = small.yard((("laminate",),))
    assert days(yard, {"laminate": 31.0}) == 5
    assert days(yard, {"laminate": 31.0}, at=2.0) == 3


def test_days_without_people_do_not_count() -> None:
    """A holiday is no working day; a day of leave is one without that person."""
    closed = small.yard((("laminate",),), holidays=(date(2027, 3, 2),))
    window = load.window(closed, load.Demand({"laminate": 31.0}, {}), 1.0)
    assert len(window) == 5
    assert date(2027, 3, 2) not in window
    away = small.yard((("laminate",),), leave=((date(2027, 3, 2), date(2027, 3, 3)),))
    assert days(away, {"laminate": 31.0}) == 7


def test_people_with_two_skills_are_counted_once() -> None:
    """One person for two skills needs the sum of both hours."""
    hours = {"laminate": 31.0, "rig": 31.0}
    assert days(small.yard((("laminate", "rig"),)), hours) == 10
    assert days(small.yard((("laminate",), ("rig",))), hours) == 5


def test_molds_can_be_what_limits() -> None:
    """Ten boats of 4 days in the mold need 50 days of one mold, 25 of two."""
    many = tuple([("laminate",)] * 50 + [("rig",)] * 50)
    for molds, expected in ((1, 50), (2, 25)):
        yard = small.yard(many, molds=molds, places=((),) * 20)
        flows = [Flow(small.model(), small.order(), yard) for _ in range(10)]
        assert flows[0].days["lay"] == pytest.approx(1)
        assert len(load.window(yard, load.add_up(yard, flows), 1.0)) == expected


def test_places_are_shared_by_those_who_can_use_no_other() -> None:
    """Days of a boat that fits one bay only also weigh on the bays of all boats."""
    yard = small.yard((("laminate",), ("rig",)), places=((), ("skiff",)))
    launch_mold = replace(yard.molds[0], id="L-1", models=("launch",))
    yard = replace(yard, molds=(*yard.molds, launch_mold))
    skiff = Flow(small.model(), small.order(), yard)
    launch = Flow(small.model("launch"), small.order(of_model="launch"), yard)
    asked = load.add_up(yard, [skiff, launch]).days
    stay = 1 + 4  # days from demold to the end of rigging, one person each
    assert asked[frozenset({"place Bay 1"})] == pytest.approx(stay)
    assert asked[frozenset({"place Bay 1", "place Bay 2"})] == pytest.approx(2 * stay)


def test_more_work_than_ten_years_is_refused() -> None:
    """A book that no window holds is an error of whoever asked for it."""
    with pytest.raises(UsageError, match="ten years"):
        days(small.yard((("laminate",),)), {"laminate": 1e6})
