"""The shortest time in which one boat could run through its routing."""

from __future__ import annotations

from datetime import time

import pytest

from models.sample.flow import Flow, Stay, hours_on
from models.yard import Shift, TradeCalendar
from tests.models.sample import small

TWO_EACH = (("laminate",), ("laminate",), ("rig",), ("rig",))


def test_hours_of_a_day_leave_out_the_breaks() -> None:
    """06:00 to 14:30 less 15 and 30 minutes are 7.75 hours, and none on Sunday."""
    calendar = small.yard(TWO_EACH).calendars[0]
    assert hours_on(calendar, 1) == 7.75
    assert hours_on(calendar, 7) == 0


def test_a_shift_may_end_at_midnight() -> None:
    """00:00 as an end means the end of the day."""
    late = TradeCalendar("late", (Shift((1,), time(16), time(0)),))
    assert hours_on(late, 1) == 8


def test_the_whole_way_counts_crews_and_cures() -> None:
    """15.5 h by two, 48 h, 7.75 h by one, 31 h by two (of four): 1 + 2 + 1 + 2."""
    flow = Flow(small.model(), small.order(), small.yard(TWO_EACH))
    assert flow.total() == pytest.approx(6)
    assert flow.to_end("demold") == pytest.approx(3)


def test_a_crew_is_no_larger_than_the_yard_can_form() -> None:
    """With one who rigs, 31 h of rigging take four days."""
    flow = Flow(small.model(), small.order(), small.yard((("laminate",), ("rig",))))
    assert flow.days["rig"] == pytest.approx(4)
    assert flow.days["lay"] == pytest.approx(2)


def test_stays_in_mold_and_place() -> None:
    """The mold is held from lay-up to demold, the bay from demold to the last step."""
    flow = Flow(small.model(), small.order(), small.yard(TWO_EACH))
    mold, place = flow.stays()
    assert mold == Stay("mold", "hull", pytest.approx(4))
    assert place == Stay("place", "bay", pytest.approx(3))
