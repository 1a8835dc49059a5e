"""A plan prepared for drawing; figures from the comments of the small plan."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from dashboard.view import stream_of
from models.names import Names
from tests.dashboard.small_view import small_view, when
from tests.scheduler.small_plan import small_plan


def test_every_operation_is_drawn_once() -> None:
    """Each operation of the answer is one row, in order of time."""
    view = small_view()
    ids = [row.id for row in view.rows]
    assert sorted(ids) == sorted(
        one.operation for one in small_plan().answer.operations
    )
    assert [row.begins for row in view.rows] == sorted(row.begins for row in view.rows)


def test_times_are_those_of_the_yards_clocks() -> None:
    """Times carry no offset and read as the clocks in the yard, on both sides of the
    change of the clocks on 2027-03-14.
    """
    rows = small_view().by_id
    assert rows["B101/hull.laminate"].begins == when("2027-03-12 11:30")
    assert rows["B101/hull.demold"].begins == when("2027-03-15 06:00")
    assert all(row.begins.tzinfo is None for row in rows.values())


def test_a_cure_lasts_its_hours_on_the_wall() -> None:
    """62.5 hours from Friday 14:30 end Monday 06:00, the hour that clocks skip left
    out; each cure is drawn once.
    """
    cures = {one.before: one for one in small_view().cures}
    cure = cures["B101/hull.laminate"]
    assert (cure.begins, cure.ends) == (
        when("2027-03-12 14:30"),
        when("2027-03-15 06:00"),
    )
    assert len(cures) == 6


def test_days_are_working_days_of_the_delivery_calendar() -> None:
    """B101 is two working days late, as the plan says; early is below zero."""
    view = small_view()
    for result in small_plan().answer.orders:
        days = view.boat[result.order].days
        assert days is not None
        assert max(0, days) == result.tardy_days
    assert view.boat["B101"].days == 2
    assert view.boat["B101"].late
    assert not view.boat["B102"].late


def test_a_part_is_said_to_be_where_it_is() -> None:
    """A laminate is done in the mold; the join takes the deck from its stand, which is
    free from then on, to the hull in its bay.
    """
    rows = small_view().by_id
    assert rows["B101/hull.laminate"].mold == "H23-1"
    assert rows["B101/hull.laminate"].place == ""
    assert rows["B101/final.rig"].place == "Bay 1"
    assert rows["B101/final.join"].place == "Bay 1"
    assert rows["B101/deck.demold"].place == "Stand 1"
    assert "D23-1" in rows["B101/deck.demold"].mold


def test_names_stand_for_codes_where_they_are_known() -> None:
    """A known code is shown by its name, an unknown one as it is."""
    rows = small_view().by_id
    assert rows["B101/hull.skin"].name == "Skin coat, hull"
    assert rows["B101/hull.prep"].name == "hull.prep"
    view = small_view(Names())
    bare = view.by_id["B101/hull.skin"]
    assert (bare.name, bare.station) == ("hull.skin", "lay-up")
    assert view.groups[bare.group] == "Lay-up and other work"


def test_closed_days_are_joined() -> None:
    """Weekends are one span each; a holiday before one belongs to it."""
    closed = small_view().closed(date(2027, 3, 29), date(2027, 4, 6))
    assert closed == [(when("2027-04-02 00:00"), when("2027-04-05 00:00"))]


def test_weeks_run_from_now_to_the_last_finish() -> None:
    """The first week holds now, the last one the last finish."""
    view = small_view()
    assert view.first_week == date(2027, 3, 8)
    assert view.last_week == date(2027, 3, 29)
    assert view.frozen_until - view.now >= timedelta(0)


@pytest.mark.parametrize(
    ("parts", "code", "stream"),
    [
        (("hull",), "hull.skin", "hull"),
        (("hull", "deck"), "join.set", "hull"),
        (("deck",), "deck.skin", "deck"),
        (("console",), "console.laminate", "small"),
        (("upholstery",), "upholstery.sew", "upholstery"),
        (("boat",), "final.detail", "hull"),
        ((), "final.paper", "hull"),
    ],
)
def test_each_part_has_its_lane(parts: tuple[str, ...], code: str, stream: str) -> None:
    """Hull, deck, small parts and upholstery are drawn apart; the joined boat goes
    where the hull was.
    """
    assert stream_of(parts, code) == stream


def test_other_jobs_are_counted_apart() -> None:
    """A repair is no boat, whatever the sentence."""
    view = small_view()
    assert view.counted(["B101", "B102", "B101"]) == "2 boats"
    assert view.counted([]) == "0 boats"
    problem = view.plan.problem
    orders = tuple(
        replace(one, kind="other") if one.order == "B102" else one
        for one in problem.orders
    )
    plan = replace(view.plan, problem=replace(problem, orders=orders))
    mixed = replace(view, plan=plan)
    assert mixed.counted(["B101", "B102"]) == "1 boat and 1 other job"
    assert mixed.counted(["B102"]) == "1 other job"
