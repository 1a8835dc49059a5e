"""The whole book by week."""

from __future__ import annotations

from datetime import date

import pytest

from dashboard.figures.book import book_figure, book_hours
from dashboard.filters import Filters
from scheduler.levels import station_hours
from tests.dashboard.small_view import small_view, traces


def test_hours_add_up_to_those_of_the_plan() -> None:
    """All boats' hours of all weeks are the hours of all stations."""
    view = small_view()
    data = book_hours(view, Filters())
    plan = view.plan
    known = station_hours(plan.problem, plan.answer.operations)
    assert data.hours.sum() == pytest.approx(sum(known.values()))
    for column, week in enumerate(data.weeks):
        of_week = sum(hours for (_, at), hours in known.items() if at == week)
        assert data.hours[:, column].sum() == pytest.approx(of_week)


def test_promise_and_finish_stand_in_their_weeks() -> None:
    """Markers lie in the week of the promise and of the finish."""
    view = small_view()
    data = book_hours(view, Filters())
    found = traces(book_figure(view, data))
    assert data.weeks == tuple(date(2027, 3, day) for day in (8, 15, 22, 29))
    assert list(found["finished"].x) == [2, 3]
    assert found["hours"].z.shape == (2, 4)


def test_chosen_boats_only() -> None:
    """The book shows the boats that were asked for."""
    data = book_hours(small_view(), Filters(show="late"))
    assert [boat.order for boat in data.boats] == ["B101"]
