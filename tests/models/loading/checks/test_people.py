"""Who could form a crew: the longest stretches, against a slow reading of ticks."""

from __future__ import annotations

from dataclasses import replace
from datetime import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from models.axis import Axis
from models.calendars import expand
from models.loading.checks.fit import trial_axis
from models.loading.checks.people import UNLIMITED, Crews
from models.yard import Person, Shift, TradeCalendar, Yard
from tests.models.tiny import tiny_yard

DAYS = (1, 2, 3, 4, 5)


def yard_of(calendars: list[TradeCalendar], people: list[str]) -> Yard:
    """Give a yard with these calendars and laminators on some of them."""
    return replace(
        tiny_yard(),
        tick_minutes=60,
        calendars=tuple(calendars),
        people=tuple(
            Person(f"P-{number}", ("laminate",), calendar)
            for number, calendar in enumerate(people)
        ),
    )


@st.composite
def calendars(draw: st.DrawFn, name: str) -> TradeCalendar:
    """Draw a calendar of one shift with at most one break."""
    start = draw(st.integers(0, 20))
    end = draw(st.integers(start + 1, min(start + 10, 23)))
    inside = st.integers(start, end)
    first, last = sorted((draw(inside), draw(inside)))
    breaks = ((time(first), time(last)),) if first < last else ()
    days = draw(st.sampled_from([DAYS, (1, 3), (1, 2, 3, 4, 5, 6, 7)]))
    shift = Shift(days, time(start), time(end), breaks)
    return TradeCalendar(name, (shift,), frozenset(), draw(st.booleans()))


def ticks_of(calendar: TradeCalendar, axis: Axis) -> tuple[set[int], set[int]]:
    """Open ticks and ticks of breaks."""
    opened, breaks = expand(calendar, axis)
    return (
        {tick for start, end in opened for tick in range(start, end)},
        {tick for start, end in breaks for tick in range(start, end)},
    )


def slow_one_go(yard: Yard, axis: Axis, size: int) -> int:
    """Find the longest stretch by trying every start and every end."""
    calendar, *_ = yard.calendars
    opened, breaks = ticks_of(calendar, axis)
    relieved = breaks if calendar.breaks_relieved else set()
    at_work = {one.id: ticks_of(one, axis)[0] for one in yard.calendars}
    there = [at_work[person.calendar] | relieved for person in yard.people]
    best = 0
    for start in sorted(opened | relieved):
        staying = there
        end = start
        while end in opened | relieved:
            staying = [ticks for ticks in staying if end in ticks]
            end += 1
            span = set(range(start, end))
            really = [ticks for ticks in staying if span - relieved]
            if len(really) >= size:
                best = max(best, end - start)
    return best


@settings(deadline=None, max_examples=40)
@given(data=st.data())
def test_one_go_stretches(data: st.DataObject) -> None:
    """The longest stretch with so many people throughout is found exactly."""
    trades = [data.draw(calendars(name)) for name in "ab"]
    people = data.draw(st.lists(st.sampled_from("ab"), min_size=1, max_size=4))
    yard = yard_of(trades, people)
    axis = replace(trial_axis(yard), ticks=7 * 24)
    size = data.draw(st.integers(1, 3))
    found = Crews(yard, axis).longest("laminate", "a", size, True)
    assert found == slow_one_go(yard, axis, size)


def test_pausable_stretches() -> None:
    """A pausable step may use a row of ticks as long as enough people are there."""
    whole = TradeCalendar("a", (Shift(DAYS, time(6), time(14)),))
    short = TradeCalendar("b", (Shift(DAYS, time(6), time(10)),))
    yard = yard_of([whole, short], ["a", "b"])
    crews = Crews(yard, trial_axis(yard))
    assert crews.longest("laminate", "a", 1, False) == UNLIMITED
    assert crews.longest("laminate", "a", 2, False) == 4
    assert crews.longest("laminate", "b", 2, False) == UNLIMITED
    assert crews.longest("laminate", "a", 3, False) == 0


@pytest.mark.parametrize(("relieved", "hours"), [(True, 8), (False, 6)])
def test_breaks_end_a_stretch_unless_relieved(relieved: bool, hours: int) -> None:
    """A one-go step crosses a break only where the trade's breaks are relieved."""
    shift = Shift(DAYS, time(6), time(14), ((time(12), time(13)),))
    trade = TradeCalendar("a", (shift,), frozenset(), relieved)
    yard = yard_of([trade], ["a", "a"])
    crews = Crews(yard, trial_axis(yard))
    assert crews.longest("laminate", "a", 2, True) == hours
    assert crews.longest("laminate", "a", 2, True) == hours  # looked up once
    assert crews.count("laminate") == 2
    assert crews.count("rig") == 0


def test_a_crew_beside_its_leads() -> None:
    """Apprentices count in a stretch only as long as so many lead in it."""
    whole = TradeCalendar("a", (Shift(DAYS, time(6), time(14)),))
    short = TradeCalendar("b", (Shift(DAYS, time(6), time(10)),))
    yard = yard_of([whole, short], ["a", "a", "b"])
    first, second, third = yard.people
    learning = replace(first, skills=(), apprentice_in=first.skills)
    crews = Crews(replace(yard, people=(learning, second, third)), trial_axis(yard))
    for one_go in (True, False):
        assert crews.longest("laminate", "a", 3, one_go, 1) == 4
        assert crews.longest("laminate", "a", 2, one_go, 2) == 4
        assert crews.longest("laminate", "a", 3, one_go, 3) == 0
    assert crews.longest("laminate", "a", 2, True, 1) == 8
    assert crews.longest("laminate", "a", 2, False, 1) == UNLIMITED
    assert (crews.count("laminate"), crews.count_full("laminate")) == (3, 2)
