"""Duration, calendar, crew, skills and presence of people are checked."""

from __future__ import annotations

import pytest

from tests.scheduler.mutations import (
    Mutations,
    assert_told,
    available,
    change,
    change_person_inside,
    cut,
    found,
    move,
    planned,
    replace_person,
    resize,
)

MUTATIONS: Mutations = {
    "moved into the night": (
        lambda d: move(d, "B102/hull.skin", -60),
        ("B102/hull.skin", "lamination is closed", "Tue 2027-03-16 05:00"),
    ),
    "one-go moved over a stop": (
        lambda d: move(d, "B102/hull.skin", 6 * 60),
        ("B102/hull.skin", "one go", "closed, Tue 2027-03-16 14:30"),
    ),
    "one-go over a break that is not relieved": (
        lambda d: change(found(d, "calendars", id="lamination"), breaks_relieved=False),
        ("B102/hull.laminate", "one go", "Wed 2027-03-17 09:00"),
    ),
    "one-go split": (
        lambda d: cut(
            d, "B102/hull.skin", "2027-03-16T07:00-04:00", "2027-03-16T07:30-04:00"
        ),
        ("B102/hull.skin", "one go", "pauses Tue 2027-03-16 07:00"),
    ),
    "pause while the calendar is open": (
        lambda d: cut(
            d, "B102/hull.prep", "2027-03-15T08:00-04:00", "2027-03-15T08:30-04:00"
        ),
        ("B102/hull.prep pauses", "lamination is open"),
    ),
    "worked span cut in two": (
        lambda d: cut(
            d, "B102/hull.prep", "2027-03-15T08:00-04:00", "2027-03-15T08:00-04:00"
        ),
        ("B102/hull.prep", "meet or overlap", "Mon 2027-03-15 08:00"),
    ),
    "shorter than its hours": (
        lambda d: change(
            found(d, "operations", id="B102/final.rig"), labor_hours=28.25
        ),
        ("B102/final.rig is worked for 14 h", "crew of 2 needs 14.25 h"),
    ),
    "shorter than its duration without a crew": (
        lambda d: change(
            found(d, "operations", id="B102/final.air_out"), duration_minutes=121
        ),
        ("B102/final.air_out is worked for 2 h", "needs 2.25 h"),
    ),
    "shorter than what remains": (
        lambda d: change(
            found(d, "operations", id="B101/deck.prep"), remaining_hours=2.1
        ),
        ("B101/deck.prep is worked for 2 h", "needs 2.25 h"),
    ),
    "start told wrongly": (
        lambda d: change(planned(d, "B102/hull.skin"), start="2027-03-16T05:45-04:00"),
        ("B102/hull.skin starts Tue 2027-03-16 05:45", "worked from"),
    ),
    "finish told wrongly": (
        lambda d: change(planned(d, "B102/hull.skin"), finish="2027-03-16T09:15-04:00"),
        ("B102/hull.skin finishes Tue 2027-03-16 09:15", "worked until"),
    ),
    "milestone that lasts": (
        lambda d: change(
            planned(d, "B102/final.inspect"), finish="2027-03-29T09:00-04:00"
        ),
        ("B102/final.inspect has no worked spans, yet lasts",),
    ),
    "done work planned again": (
        lambda d: change(planned(d, "B101/hull.prep"), crew=1),
        ("B101/hull.prep is done", "people or time"),
    ),
    "crew below its minimum": (
        lambda d: resize(d, "B102/hull.skin", 1, ["LM-01"]),
        ("B102/hull.skin has a crew of 1, but 2 to 4",),
    ),
    "crew above its maximum": (
        lambda d: resize(d, "B102/hull.prep", 3, ["LM-02", "LM-03", "LM-04"]),
        ("B102/hull.prep has a crew of 3, but 1 to 2",),
    ),
    "one of the crew missing": (
        lambda d: resize(d, "B102/hull.skin", 2, ["LM-01"]),
        ("B102/hull.skin is worked by 1 people, not the crew of 2",),
    ),
    "one person counted twice": (
        lambda d: resize(d, "B102/hull.skin", 2, ["LM-01", "LM-01"]),
        ("B102/hull.skin counts a person twice",),
    ),
    "crew where no skill is needed": (
        lambda d: resize(d, "B102/final.air_out", 1, ["RG-02"]),
        ("B102/final.air_out needs no skill",),
    ),
    "person who does not exist": (
        lambda d: replace_person(d, "B102/hull.prep", "LM-03", "LM-99"),
        ("B102/hull.prep has person LM-99, who is not in the problem",),
    ),
    "person without the skill": (
        lambda d: replace_person(d, "B102/hull.gel_coat", "LM-03", "LM-02"),
        ("LM-02", "B102/hull.gel_coat without the skill gel_coat"),
    ),
    "person on leave": (
        lambda d: replace_person(d, "B101/hull.laminate", "LM-03", "LM-02"),
        ("LM-02 is on B101/hull.laminate but away", "Fri 2027-03-12 11:30"),
    ),
    "person away after a relieved break": (
        lambda d: available(d, "LM-01").remove(
            ["2027-03-12T12:30-05:00", "2027-03-12T14:30-05:00"]
        ),
        ("LM-01 is on B101/hull.laminate but away", "Fri 2027-03-12 12:30"),
    ),
    "person in two places": (
        lambda d: replace_person(d, "B102/deck.demold", "LM-03", "LM-02"),
        (
            "Person LM-02 is on B101/final.join and B102/deck.demold at the same time",
            "Wed 2027-03-17 06:00",
        ),
    ),
    "people change inside one-go work": (
        lambda d: change_person_inside(d, "B102/hull.skin", "2027-03-16T07:30-04:00"),
        ("LM-04", "B102/hull.skin while it is worked", "Tue 2027-03-16 07:30"),
    ),
    "people change between breaks": (
        lambda d: change(
            planned(d, "B101/final.rig")["people"][0], to="2027-03-19T11:00-04:00"
        ),
        ("RG-01", "B101/final.rig while it is worked", "Fri 2027-03-19 11:00"),
    ),
}


@pytest.mark.parametrize("name", MUTATIONS)
def test_a_broken_rule_is_named(name: str) -> None:
    """Work broken once is caught, in one sentence that names what and when."""
    assert_told(MUTATIONS[name])
