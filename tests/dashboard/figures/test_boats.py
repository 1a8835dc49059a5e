"""The drawing of boats against time."""

from __future__ import annotations

from datetime import date
from typing import Any

from dashboard.figures.boats import boats_figure
from dashboard.figures.lanes import boat_bands
from tests.dashboard.small_view import WINDOW, small_view, traces

FIRST, AFTER = date(2027, 3, 8), date(2027, 4, 5)


def drawn(first: date = FIRST, after: date = AFTER) -> Any:
    """The drawing of the small plan."""
    view = small_view()
    return boats_figure(view, boat_bands(view, WINDOW, first, after), first, after)


def test_each_group_is_one_trace_and_each_operation_one_bar() -> None:
    """Bars lie in one trace a station group, and none is lost."""
    view, found = small_view(), traces(drawn())
    ids = [one[0] for name in view.groups for one in found[name].customdata]
    in_window = [row.id for row in view.rows if row.ends.date() >= FIRST]
    assert sorted(ids) == sorted(in_window)
    assert len(set(view.groups)) <= 6


def test_a_bar_tells_who_when_and_where() -> None:
    """Under the pointer stand name, crew, times, mold and place."""
    found = traces(drawn())["Lamination"]
    told = dict(found.customdata)["B101/hull.skin"]
    for part in ("Skin coat, hull", "LM-01", "2027-03-09 06:00", "mold H23-1", "hours"):
        assert part in told


def test_cures_are_drawn_as_waiting() -> None:
    """A cure is thin, hatched and in nobody's color, right after its operation."""
    found = traces(drawn())
    cure = found["cure"]
    assert cure.marker.pattern.shape == "/"
    assert cure.width < found["Lamination"].width
    after = {one[0]: base for one, base in zip(cure.customdata, cure.base)}
    assert after["B101/hull.laminate"] == "2027-03-12T14:30"


def test_molds_and_places_are_named() -> None:
    """Lines with names show where each part is."""
    lettering = set(traces(drawn())["names"].text)
    assert {"H23-1", "D23-1", "Bay 1", "Stand 1"} <= lettering


def test_the_promise_is_marked_and_lateness_drawn() -> None:
    """A boat's due date has a marker; a late one has a line to its finish."""
    view, found = small_view(), traces(drawn())
    assert len(found["promised"].x) == sum(
        FIRST <= boat.due < AFTER for boat in view.boats if boat.due
    )
    late = [one for one in found["late"].x if one]
    assert len(late) == 2
    assert late[1] == view.boat["B101"].finish.isoformat(timespec="minutes")


def test_labels_say_promise_and_delay() -> None:
    """The row's label tells order, model, due date and days late in words."""
    labels = drawn().layout.yaxis.ticktext
    assert "<b>B101</b> Tern 23" in labels[0]
    assert "2 days late" in labels[0]
    assert "late" not in labels[1]


def test_a_late_line_ends_at_the_edge_of_the_window() -> None:
    """What goes on outside the window is cut off, not dropped or drawn beyond."""
    figure = drawn(date(2027, 3, 15), date(2027, 3, 22))
    for one in figure.data:
        if one.name in {"late", "molds and places", "promised"}:
            inside = [at for at in one.x if at]
            assert all("2027-03-15" <= at <= "2027-03-22T00:00" for at in inside)


def test_what_is_done_is_drawn_pale() -> None:
    """Done work is paler than planned work."""
    figure = drawn(date(2027, 3, 1), AFTER)
    pale = {
        id: opacity
        for trace in figure.data
        if trace.name in small_view().groups
        for (id, _), opacity in zip(trace.customdata, trace.marker.opacity)
    }
    assert pale["B101/hull.prep"] < 1
    assert pale["B101/hull.skin"] == 1
