"""Services of molds: which a plan needs, and when one can end."""

from __future__ import annotations

from dataclasses import replace

from scheduler.building.build import build_problem
from scheduler.plan import Occupation
from scheduler.problem import Mold, Problem, Service
from scheduler.servicing import NEVER, plan_services, service_ends, service_ticks
from tests.scheduler.small_book import small_book
from tests.scheduler.small_yard import at, small_problem

MOLD = Mold(
    "D23-1",
    "deck",
    ("tern-23",),
    pulls=1,
    service_every=2,
    service_hours=9.0,
    service_calendar="shop",
)


def shop(mold: Mold = MOLD) -> Problem:
    """The small problem with one mold."""
    return replace(small_problem(), molds=(mold,))


def pulls(*spans: tuple[str, str]) -> list[Occupation]:
    """Occupations of the mold."""
    return [
        Occupation("D23-1", f"B{number}", "deck", at(start), at(end))
        for number, (start, end) in enumerate(spans)
    ]


def test_hours_are_rounded_up_to_ticks() -> None:
    """A quarter of an hour too much is better than a minute too little."""
    assert service_ticks(MOLD, 15) == 36
    assert service_ticks(replace(MOLD, service_hours=0.1), 15) == 1
    assert service_ticks(replace(MOLD, service_hours=7.3), 15) == 30


def test_a_service_goes_on_over_night() -> None:
    """Nine open hours from a Monday at eight end on the Tuesday, break taken out."""
    ends = service_ends(shop(), MOLD)
    assert ends[at("03-08 08:00")] == at("03-09 09:00")
    assert ends[at("03-05 08:00")] == ends[at("03-08 00:00")] == at("03-09 08:00")
    assert ends[-1] == NEVER


def test_a_service_is_put_off_as_long_as_it_can_be() -> None:
    """Of two gaps before the pull that would be one too many, the later is taken.

    It begins when the calendar opens, not in the night before.
    """
    occupations = pulls(
        ("03-10 06:00", "03-12 10:00"),  # pull 2
        ("03-16 06:00", "03-18 10:00"),  # would be the third
        ("03-18 10:00", "03-19 10:00"),
        ("03-24 06:00", "03-25 10:00"),
    )
    assert plan_services(shop(), occupations) == (
        Service("D23-1", at("03-12 10:00"), at("03-15 11:00")),
        Service("D23-1", at("03-19 10:00"), at("03-22 11:00")),
    )


def test_a_repair_is_no_pull_but_no_gap_either() -> None:
    """Three stays, one of them another job: no service before the fourth."""
    problem = shop()
    job = replace(problem.orders[0], order="J-1", kind="other")
    problem = replace(problem, orders=(*problem.orders, job))
    stays = pulls(
        ("03-10 06:00", "03-12 10:00"),  # pull 2
        ("03-12 10:00", "03-24 06:00"),  # the repair
        ("03-24 06:00", "03-25 10:00"),  # would be the third
    )
    kept = [replace(one, order="J-1") if one.order == "B1" else one for one in stays]
    assert plan_services(problem, kept[:2]) == ()
    assert plan_services(problem, kept) == (
        Service("D23-1", at("03-08 07:00"), at("03-09 08:00")),
    )


def test_a_gap_that_is_too_short_is_passed_over() -> None:
    """The service goes where it fits, even where it was not due yet."""
    occupations = pulls(("03-10 06:00", "03-12 10:00"), ("03-12 12:00", "03-18 10:00"))
    mold = replace(MOLD, pulls=1)
    assert plan_services(shop(mold), occupations) == (
        Service("D23-1", at("03-08 07:00"), at("03-09 08:00")),
    )


def test_an_outage_parts_a_gap() -> None:
    """No service runs over an outage, and an outage is no pull."""
    outage = (at("03-15 00:00"), at("03-15 12:00"))
    mold = replace(MOLD, unavailable=(outage,))
    occupations = pulls(("03-10 06:00", "03-12 10:00"), ("03-17 06:00", "03-18 10:00"))
    assert plan_services(shop(mold), occupations) == (
        Service("D23-1", at("03-15 12:30"), at("03-16 13:30")),
    )


def test_no_service_is_planned_before_it_is_due() -> None:
    """A mold with pulls to spare, or without an interval, stays in use."""
    occupations = pulls(("03-10 06:00", "03-12 10:00"))
    assert plan_services(shop(), occupations) == ()
    never = replace(MOLD, service_every=None, service_hours=None)
    assert plan_services(shop(never), occupations * 5) == ()


def test_the_delivery_calendar_counts_by_default() -> None:
    """A yard may leave the calendar of its services out."""
    book = small_book()
    molds = tuple(
        replace(one, service_every=40, service_hours=16.0, pulls=12)
        for one in book.yard.molds
    )
    book = replace(book, yard=replace(book.yard, molds=molds))
    mold = build_problem(book, horizon_days=30).molds[0]
    assert (mold.service_every, mold.service_hours, mold.pulls) == (40, 16, 12)
    assert mold.service_calendar == book.yard.delivery_calendar
    assert (
        build_problem(small_book(), horizon_days=30).molds[0].service_calendar is None
    )
