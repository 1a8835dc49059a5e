"""The drawing of molds and places against time."""

from __future__ import annotations

from datetime import date

from dashboard.figures.holds import hold_bands, holds_figure
from tests.dashboard.small_view import WINDOW, small_view, traces

FIRST, AFTER = date(2027, 3, 8), date(2027, 4, 5)


def test_every_mold_and_place_has_a_row() -> None:
    """Also what nobody uses is listed, in the order of the yard."""
    names = [band.resource for band in hold_bands(small_view(), WINDOW, FIRST, AFTER)]
    assert names == ["H23-1", "D23-1", "H28-1", "Bay 1", "Stand 1"]


def test_every_stay_is_drawn_once_and_late_boats_apart() -> None:
    """Stays of boats in time and of late ones are told apart by words and ink."""
    view = small_view()
    figure = holds_figure(view, hold_bands(view, WINDOW, FIRST, AFTER), FIRST, AFTER)
    found = traces(figure)
    late, fine = found["late boat"], found["boat in time"]
    assert len(late.x) + len(fine.x) == len(view.held)
    assert late.marker.line.color != fine.marker.line.color
    assert all("B101" in one for one in late.customdata)
    assert {"B101 late"} == {text for text in late.text if text}


def test_outages_are_hatched() -> None:
    """A mold or place out of use is shown where the yard's files say so."""
    view = small_view()
    figure = holds_figure(view, hold_bands(view, WINDOW, FIRST, AFTER), FIRST, AFTER)
    away = traces(figure)["out of use"]
    assert list(away.base) == ["2027-03-25T06:00", "2027-03-30T07:00"]
    assert away.marker.pattern.shape == "x"
