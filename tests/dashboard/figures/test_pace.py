"""The drawings of pace."""

from __future__ import annotations

from datetime import date

import pytest

from dashboard.figures.pace import (
    MOST_SHARE,
    load_figure,
    share,
    stations_figure,
    use_figure,
    waits_figure,
)
from dashboard.palette import ALARM
from scheduler.load import LateWait, StationWeek, resource_use, station_week_load
from tests.dashboard.small_view import small_view, traces

WEEK = date(2027, 3, 8)


def test_bars_are_the_hours_of_the_plan() -> None:
    """A station's bars are its planned hours, the dashed line what could be given."""
    view = small_view()
    mine = [one for one in station_week_load(view.plan) if one.station == "lay-up"]
    found = traces(load_figure(view, mine, 0))
    # By hand in the small plan: 22, 12, 0 and 0 hours at the lay-up.
    assert found["planned"].y.tolist() == [22, 12, 0, 0]
    assert found["could be given"].y[0] == mine[0].capacity_hours
    assert found["could be given"].line.dash == "dash"


def test_more_than_could_be_given_is_outlined() -> None:
    """A week over capacity has a thick outline of another ink."""
    over = StationWeek("booth", WEEK, 12.0, 10.0)
    under = StationWeek("booth", WEEK, 10.0, 10.0)
    line = traces(load_figure(small_view(), [over, under], 0))["planned"].marker.line
    assert line.color[0] == ALARM != line.color[1]
    assert line.width[0] > line.width[1]


@pytest.mark.parametrize(
    ("hours", "given", "expected"),
    [(5.0, 10.0, 0.5), (0.0, 0.0, 0.0), (1.0, 0.0, MOST_SHARE)],
)
def test_a_share_needs_no_capacity(hours: float, given: float, expected: float) -> None:
    """Work where nobody is there is over capacity, not a fault of division."""
    assert share(StationWeek("booth", WEEK, hours, given)) == expected


def test_every_station_and_week_has_a_cell() -> None:
    """Stations are rows, weeks are columns."""
    view = small_view()
    load = station_week_load(view.plan)
    cells = traces(stations_figure(view.names, load))["share"].z
    assert cells.shape[0] * cells.shape[1] == len(load)


def test_use_is_told_in_days_too() -> None:
    """Each mold and place has a bar of its share and the days behind it."""
    uses = resource_use(small_view().plan)
    found = traces(use_figure(uses))["taken"]
    assert len(found.x) == len(uses)
    assert "days" in found.text[0]


def test_waits_have_days_hours_and_boats() -> None:
    """A wait is told in days, in hours and with the count of boats."""
    waits = [LateWait("a free bay", 2.5, ("B101", "B102"))]
    found = traces(waits_figure(waits, ["a free bay"]))["waiting"]
    assert found.text[0] == "2.5 days, 60 hours, 2 boats"
