"""Settings and axes that all charts share."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np

from dashboard.graph import bars, config, figure, fitting, graph, time_axis
from tests.dashboard.small_view import when


def test_no_chart_sends_anything_away() -> None:
    """No chart has a button or an address to upload to, nor the maker's mark."""
    settings = config()
    assert settings["showSendToCloud"] is False
    assert settings["plotlyServerURL"] == ""
    assert settings["displaylogo"] is False
    assert all(name.endswith("2d") for name in settings["modeBarButtons"][0])


def test_every_chart_is_named_and_has_the_settings() -> None:
    """A chart on a page says what it is and carries the common settings."""
    plate = graph("one", figure([], 300), "Two boats")
    assert plate.to_plotly_json()["props"]["aria-label"] == "Two boats"
    assert plate.children.config == config()


def test_a_bar_is_as_long_as_the_clocks_say() -> None:
    """Length is taken on the yard's clock, in milliseconds, also where it jumps."""
    made = bars([when("2027-03-13 12:00")], [when("2027-03-14 12:00")], [1.0], 0.5)
    assert made["base"] == ["2027-03-13T12:00"]
    assert made["x"].tolist() == [24 * 3600 * 1000]
    assert made["y"].dtype == np.float32


def test_weeks_are_named_by_monday_and_iso_week() -> None:
    """The week of 2026-12-28 is ISO week 53, the next one week 1."""
    axis = time_axis(date(2026, 12, 28), date(2027, 1, 11))
    assert axis["ticktext"][:2] == ["Dec 28<br>W53", "Jan 4<br>W01"]
    assert len(time_axis(date(2027, 1, 4), date(2027, 7, 5))["tickvals"]) <= 14


def test_lettering_stays_inside_its_bar() -> None:
    """A word too long for its bar is left out."""
    window = timedelta(days=42)
    assert fitting("DC-301", timedelta(days=4), window) == "DC-301"
    assert fitting("DC-301", timedelta(hours=8), window) == ""
