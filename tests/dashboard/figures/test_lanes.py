"""Lanes: nothing that overlaps in time lies in the same place."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from dashboard.figures.lanes import (
    BoatBand,
    boat_bands,
    chosen_boats,
    first_free,
    strips,
)
from dashboard.filters import Filters
from tests.dashboard.small_view import WINDOW, small_view, when

FIRST, AFTER = date(2027, 3, 8), date(2027, 4, 5)
ZERO = when("2027-03-08")


@given(st.lists(st.tuples(st.integers(0, 50), st.integers(0, 9)), max_size=25))
def test_overlapping_spans_get_different_lanes(spans: list[tuple[int, int]]) -> None:
    """Two spans in one lane never overlap, and lanes are used from the first on."""
    ordered = sorted(
        (ZERO + timedelta(hours=a), ZERO + timedelta(hours=a + length))
        for a, length in spans
    )
    lanes = first_free(ordered)
    assert set(lanes) == set(range(len(set(lanes))))
    for lane in set(lanes):
        mine = [span for span, at in zip(ordered, lanes) if at == lane]
        assert all(one[1] <= other[0] for one, other in pairwise(mine))


def test_bars_of_a_boat_do_not_cover_each_other() -> None:
    """Operations and cures at one height of one boat follow each other."""
    for band in bands():
        by_height: dict[float, list[tuple[object, ...]]] = {}
        for row, y in band.rows:
            by_height.setdefault(y, []).append((row.begins, row.ends))
        for mine in by_height.values():
            spans = sorted(mine)  # type: ignore[type-var]
            assert all(one[1] <= other[0] for one, other in pairwise(spans))  # type: ignore[operator]


def bands() -> list[BoatBand]:
    """Bands of the small plan."""
    return boat_bands(small_view(), WINDOW, FIRST, AFTER)


def test_bands_lie_below_each_other_by_due_date() -> None:
    """Boats come by due date; a band holds its bars and leaves room for its label."""
    drawn = bands()
    assert [band.boat.order for band in drawn] == ["B101", "B102"]
    assert drawn[0].bottom < drawn[1].top
    for band in drawn:
        heights = [y for _, y in (*band.rows, *band.held, *band.cures)]
        assert band.top < min(heights)
        assert max(heights) < band.bottom


def test_only_what_is_in_the_window_is_drawn() -> None:
    """A window of one week leaves out what begins after it and what ended before."""
    later = boat_bands(small_view(), WINDOW, date(2027, 3, 24), date(2027, 3, 31))
    assert [band.boat.order for band in later] == ["B102"]
    codes = {row.code for row, _ in later[0].rows}
    assert codes == {"final.join", "final.rig", "final.air_out", "final.inspect"}


def test_boats_are_chosen_by_text_and_lateness() -> None:
    """Order, model or customer may be searched for; late boats may be asked for."""
    view = small_view()

    def orders(**chosen: str) -> list[str]:
        return [one.order for one in chosen_boats(view, Filters(**chosen))]  # type: ignore[arg-type]

    assert orders(find="b102") == ["B102"]
    assert orders(find="tern") == ["B101", "B102"]
    assert orders(find="c-1") == ["B101"]
    assert orders(find="no such boat") == []
    assert orders(show="late") == ["B101"]


def test_strips_fit_a_page() -> None:
    """Bands are cut into strips no taller than a page unless one boat is."""
    one, other = bands()
    assert [len(strip) for strip in strips([one, other], 1000.0)] == [2]
    assert [len(strip) for strip in strips([one, other], 1.0)] == [1, 1]
    third = replace(other, top=other.bottom + 1, bottom=other.bottom + 4)
    cut = strips([one, other, third], other.bottom + 0.5)
    assert [len(strip) for strip in cut] == [2, 1]
