"""Sheet 2, as data."""

from __future__ import annotations

from dataclasses import replace

import pytest

from dashboard.filters import Filters
from dashboard.pages.pace import busiest, pace_page
from scheduler.load import station_week_load
from tests.dashboard.small_view import components, of_id, small_view, text_of

CHARTS = ("load", "stations", "use", "waits")


def test_each_chart_has_a_summary_and_a_twin() -> None:
    """Four charts, four sentences, four tables, each on its own."""
    view = small_view()
    page = pace_page(view, Filters())
    kinds = [type(one).__name__ for one in components(page)]
    assert kinds.count("Graph") == len(CHARTS)
    for chart in CHARTS:
        twin = pace_page(view, Filters().with_table(chart, True))
        kinds = [type(one).__name__ for one in components(twin)]
        assert kinds.count("Graph") == len(CHARTS) - 1
        assert kinds.count("Table") == 1
        assert chart not in of_id(twin, f"drawing-{chart}").href
        assert f"table={chart}" in of_id(page, f"table-{chart}").href


@pytest.mark.parametrize("station", ["booth", "rigging"])
def test_a_station_is_chosen(station: str) -> None:
    """The chosen station is drawn and said, an unknown one gives the busiest."""
    view = small_view()
    page = pace_page(view, Filters(station=station))
    assert f"{station.capitalize()}: " in text_of(page)
    wrong = pace_page(view, Filters(station="moon"))
    best = busiest(station_week_load(view.plan))
    assert f"{view.names.station(best)}: " in text_of(wrong)


def test_hours_have_their_unit() -> None:
    """Labor hours and hours of the clock are never called the same."""
    told = text_of(pace_page(small_view(), Filters(table="load.waits")))
    assert "labor hours planned" in told
    assert "Planned, labor hours" in told
    assert "Hours of the clock" in told


def test_where_nobody_is_late_it_says_so() -> None:
    """Without late boats there is a sentence instead of a chart."""
    view = small_view()
    orders = tuple(replace(one, tardy_days=0) for one in view.plan.answer.orders)
    answer = replace(view.plan.answer, orders=orders)
    early = replace(view, plan=replace(view.plan, answer=answer))
    assert "No boat that will be late waits" in text_of(pace_page(early, Filters()))


def test_a_plan_without_work_is_empty() -> None:
    """A plan that has nothing to do draws no chart."""
    view = small_view()
    problem = replace(view.plan.problem, operations=())
    answer = replace(view.plan.answer, operations=(), occupations=(), orders=())
    bare = replace(view, plan=replace(view.plan, problem=problem, answer=answer))
    assert "no work" in text_of(pace_page(bare, Filters()))
