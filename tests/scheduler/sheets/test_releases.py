"""What must be released first, against times worked out by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scheduler.sheets.floor import make_floor
from scheduler.sheets.releases import releases_of, resting
from scheduler.sheets.wording import release_texts
from tests.scheduler.sheets.small_floor import small_floor, small_names
from tests.scheduler.small_plan import small_plan
from tests.scheduler.small_yard import at


def test_a_cure_opens_when_its_hours_are_over() -> None:
    """62.5 h after Friday 14:30 are Monday 06:00: clocks go forward on Sunday."""
    (one,) = releases_of(small_floor(), "B101/hull.demold")
    assert (one.kind, one.before) == ("cure", "B101/hull.laminate")
    assert one.since == at("03-12 14:30")
    assert one.opens == at("03-15 06:00")
    assert one.closes is None
    assert one.is_wait
    assert not one.is_fact


def test_a_cold_shop_moves_a_release() -> None:
    """A cure that depends on temperature is released by that, not by its hours."""
    plan = small_plan()
    cold = tuple(replace(row, celsius=10.0) for row in plan.problem.temperature)
    floor = make_floor(
        replace(plan, problem=replace(plan.problem, temperature=cold)), small_names()
    )
    (one,) = releases_of(floor, "B101/hull.demold")
    assert one.opens > at("03-15 06:00")


def test_a_bond_opens_and_closes() -> None:
    """The skin follows gel coat of 08:00 to 10:00 from 13:00 on, within 24 h."""
    (one,) = releases_of(small_floor(), "B101/hull.skin")
    assert one.opens == at("03-08 13:00")
    assert one.closes == at("03-09 10:00")


def test_a_maximum_on_a_calendar_counts_open_time() -> None:
    """Five open hours after Tuesday 09:00 end at 14:30, as the break does not count."""
    plan = small_plan()
    waits = tuple(
        replace(one, clock="work", calendar="shop", min_minutes=0, max_minutes=300)
        if one.id == "B101/hull.skin>B101/hull.laminate"
        else one
        for one in plan.problem.waits
    )
    floor = make_floor(
        replace(plan, problem=replace(plan.problem, waits=waits)), small_names()
    )
    (one,) = releases_of(floor, "B101/hull.laminate")
    assert one.closes == at("03-09 14:30")


@pytest.mark.parametrize(
    ("operation", "said"),
    [
        (
            "B101/hull.demold",
            "Do not demold before Mon Mar 15, 06:00: cure, at least 62.5 h after "
            "hull.laminate, planned end Fri Mar 12, 14:30.",
        ),
        ("B101/final.join", "After hull.demold, planned end Mon Mar 15, 07:30;"),
        ("B101/hull.skin", "Begin by Tue Mar 9, 10:00 at the latest."),
    ],
)
def test_releases_are_said_in_words(operation: str, said: str) -> None:
    """A cure says demold, a step before says its end, a window its last moment."""
    floor = small_floor()
    texts = release_texts(floor, operation, releases_of(floor, operation))
    assert any(said in text for text in texts), texts


def test_what_is_done_asks_nothing() -> None:
    """A step before that is a fact and asks for no time is left out."""
    floor = small_floor()
    releases = releases_of(floor, "B101/hull.gel_coat")
    assert [one.before for one in releases] == ["B101/hull.prep"]
    assert release_texts(floor, "B101/hull.gel_coat", releases) == []


def test_a_cure_is_hands_off_on_every_day_that_it_touches() -> None:
    """From Friday 14:30 to Monday 06:00 the hull is left alone, on Sunday as well."""
    floor = small_floor()
    for day, expected in [("03-12", True), ("03-14", True), ("03-16", False)]:
        during = at(f"{day} 00:00"), at(f"{day} 23:45") + 1
        cures = {one.before for one in resting(floor, during)}
        assert ("B101/hull.laminate" in cures) is expected, day
    (one,) = resting(floor, (at("03-14 12:00"), at("03-14 13:00")))
    assert one.until == at("03-15 06:00")
    assert one.next_steps == ("B101/hull.demold",)
    assert one.next_start == at("03-15 06:00")
