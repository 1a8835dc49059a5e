"""What is in the calendar, and that it stays the same thing from plan to plan."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from models.errors import UsageError
from scheduler.sheets.calendar import calendar_events, sequence_of
from scheduler.sheets.calendar_file import Event
from scheduler.sheets.floor import Floor, make_floor
from tests.scheduler.sheets.small_floor import small_floor, small_names
from tests.scheduler.small_plan import small_plan
from tests.scheduler.small_yard import AXIS, at


def by_uid(floor: Floor) -> dict[str, Event]:
    """Events by identity, each once."""
    events = list(calendar_events(floor))
    found = {one.uid: one for one in events}
    assert len(found) == len(events)
    return found


def moved(days: int, created: str) -> Floor:
    """The plan as made at another time, everything later by some days."""
    plan, ticks = small_plan(), days * AXIS.ticks_per_day
    rows = tuple(
        replace(row, start=row.start + ticks, finish=row.finish + ticks)
        for row in plan.answer.operations
    )
    answer = replace(plan.answer, operations=rows)
    return make_floor(replace(plan, answer=answer, created=created), small_names())


def test_deliveries_demolds_and_tests_are_in_it() -> None:
    """Each boat's delivery, each part's demold and each gate, and nothing else."""
    events = list(calendar_events(small_floor()))
    kinds = sorted(one.category for one in events)
    assert kinds == ["DELIVERY"] * 2 + ["DEMOLD"] * 4 + ["TEST"] * 2
    only = list(calendar_events(small_floor(), ["B102"]))
    assert len(only) == 4
    assert all("B102" in one.summary for one in only)


def test_a_delivery_is_on_the_day_that_was_promised_or_is_proposed() -> None:
    """A promise that the plan breaks is tentative and says by how much."""
    first, second = list(calendar_events(small_floor()))[:2]
    assert first.begins == date(2027, 3, 19)
    assert first.summary.endswith("(promised): 2 working days late as planned")
    assert first.status == "TENTATIVE"
    assert "C-1" in first.description
    assert second.begins == date(2027, 4, 6)
    assert "(proposed)" in second.summary


def test_a_demold_has_its_time_its_place_and_its_caution() -> None:
    """It begins and ends as planned, says its release, its mold and bay, no person."""
    (one,) = [
        event
        for event in calendar_events(small_floor(), ["B101"])
        if event.summary.startswith("hull.demold")
    ]
    assert one.begins == AXIS.instant(at("03-15 06:00"))
    assert one.ends == AXIS.instant(at("03-15 07:30"))
    assert one.location == "H23-1, Bay 1"
    assert "Do not demold before Mon Mar 15, 06:00" in one.description
    assert "nobody under a load" in one.description
    assert "licensed practice" in one.description
    assert "LM-0" not in one.description


def test_a_later_plan_moves_events_and_doubles_none() -> None:
    """Identities stay; sequence and stamp grow where a plan was made later."""
    before = by_uid(small_floor())
    after = by_uid(moved(3, "2027-03-08T09:30-05:00"))
    assert set(before) == set(after)
    for uid, old in before.items():
        new = after[uid]
        assert new.sequence > old.sequence
        assert new.changed > old.changed
        if old.category != "DELIVERY":
            assert new.begins > old.begins


def test_the_same_plan_gives_the_same_calendar() -> None:
    """Nothing in it comes from the clock or from chance."""
    assert by_uid(small_floor()) == by_uid(small_floor())


def test_an_identity_never_changes() -> None:
    """This one was given away already; another would double what was imported."""
    first = next(calendar_events(small_floor()))
    assert first.uid == "d876631e-fded-5c00-8f14-c329f16a3720"


def test_a_sequence_fits_an_integer_of_the_standard() -> None:
    """RFC 5545, 3.3.8 (from memory): from 0 to 2147483647, for plans until 2088."""
    assert sequence_of(datetime(2019, 1, 1, tzinfo=UTC)) == 0
    assert 0 < sequence_of(datetime(2087, 12, 31, tzinfo=UTC)) <= 2147483647


@pytest.mark.parametrize("created", ["yesterday", "2027-03-08T09:30"])
def test_a_plan_must_say_when_it_was_made(created: str) -> None:
    """Without an instant there is no stamp, and one clear line says so."""
    with pytest.raises(UsageError, match="created: found"):
        list(calendar_events(moved(0, created)))


def test_another_job_is_done_and_neither_delivered_nor_demolded() -> None:
    """A repair leaves no mold as a part does, and goes to no customer."""
    plan = small_plan()
    orders = tuple(
        replace(one, kind="other") if one.order == "B102" else one
        for one in plan.problem.orders
    )
    job = replace(plan, problem=replace(plan.problem, orders=orders))
    floor = make_floor(job, small_names())
    events = list(calendar_events(floor, ["B102"]))
    assert sorted(one.category for one in events) == ["DELIVERY", "TEST"]
    done = next(one for one in events if one.category == "DELIVERY")
    assert done.summary.startswith("Job done B102")
    assert "Customer" not in done.description
    assert not any(one.startswith("B102/") for one in floor.demolds)
