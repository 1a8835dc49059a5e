"""Sheet 1, as data."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from dashboard.filters import BY, Filters
from dashboard.pages.plan import STRIP_LANES, more_strips, plan_page
from dashboard.view import make_view
from models.names import Names
from tests.dashboard.small_view import (
    WINDOW,
    components,
    of_id,
    small_names,
    small_view,
    text_of,
)
from tests.scheduler.small_plan import serviced_plan


def graphs(page: Any) -> list[Any]:
    """Charts of a page."""
    return [one for one in components(page) if type(one).__name__ == "Graph"]


def grids(page: Any) -> list[Any]:
    """Tables of a page."""
    return [one for one in components(page) if type(one).__name__ == "AgGrid"]


@pytest.mark.parametrize("by", BY)
def test_every_drawing_has_a_summary_and_a_table_twin(by: str) -> None:
    """A drawing has one sentence about it; the same choices give a table instead."""
    view, chosen = small_view(), replace(WINDOW, by=by)
    drawn = plan_page(view, chosen)
    assert graphs(drawn)
    assert not grids(drawn)
    summaries = [
        one for one in components(drawn) if getattr(one, "className", "") == "summary"
    ]
    assert len(summaries) == 1
    assert text_of(summaries[0]).endswith(".")
    twin = plan_page(view, chosen.with_table("plan", True))
    assert not graphs(twin)
    assert len(grids(twin)) == 1
    assert grids(twin)[0].rowData
    for page, chosen_form in ((drawn, "drawing"), (twin, "table")):
        assert "table=plan" in of_id(page, "table-plan").href
        assert "table=plan" not in of_id(page, "drawing-plan").href
        chosen_links = [
            one.children.id
            for one in components(page)
            if type(one).__name__ == "Li" and getattr(one, "className", "") == "chosen"
        ]
        assert f"{chosen_form}-plan" in chosen_links


def test_the_table_lists_what_is_drawn() -> None:
    """The twin has a row for each bar, with its cause."""
    view = small_view()
    drawn = graphs(plan_page(view, WINDOW))
    bars = {
        one[0]
        for chart in drawn
        for trace in chart.figure.data
        if trace.name in view.groups
        for one in trace.customdata
    }
    rows = grids(plan_page(view, WINDOW.with_table("plan", True)))[0].rowData
    assert {row["id"] for row in rows} == bars
    assert all(row["cause"] for row in rows)


@pytest.mark.parametrize("by", BY)
def test_an_empty_drawing_says_so(by: str) -> None:
    """Where no boat is left, the sheet says what to do instead of an empty chart."""
    page = plan_page(small_view(), replace(WINDOW, by=by, find="no such boat"))
    assert not graphs(page)
    assert "Nothing to draw" in text_of(page)
    assert "0 boats" not in text_of(page)


def test_services_of_molds_are_drawn_and_listed() -> None:
    """A service stands in drawing, sentence, signs and table, as outages do."""
    view = make_view(serviced_plan(), small_names())
    page = plan_page(view, replace(WINDOW, by="holds"))
    assert "1 service of a mold and 2 times out of use" in text_of(page)
    assert "in service" in text_of(page)
    (chart,) = graphs(page)
    (drawn,) = [one for one in chart.figure.data if one.name == "in service"]
    assert list(drawn.base) == ["2027-03-11T09:45"]
    twin = plan_page(view, replace(WINDOW, by="holds").with_table("plan", True))
    rows = {row["part"]: row for row in grids(twin)[0].rowData if not row["order"]}
    assert set(rows) == {"in service", "out of use"}
    served = rows["in service"]
    assert (served["resource"], served["from"], served["to"]) == (
        "D23-1", "2027-03-11 09:45", "2027-03-11 10:00",
    )  # fmt: skip
    assert "in service" not in text_of(
        plan_page(small_view(), replace(WINDOW, by="holds"))
    )


def test_choices_are_kept_by_the_other_choices() -> None:
    """A link changes one choice and keeps the others."""
    page = plan_page(small_view(), replace(WINDOW, weeks=8, find="b10"))
    href = of_id(page, "show-late").href
    for part in ("weeks=8", "find=b10", "show=late", "start=2027-03-08"):
        assert part in href
    assert "start=2027-04-05" in of_id(page, "ahead").href
    assert "start" not in of_id(page, "today").href


def test_words_of_users_are_no_markup() -> None:
    """Signs of markup in names do not reach a chart."""
    names = Names(models={"tern-23": "Tern"}, groups={})
    page = plan_page(small_view(names), replace(WINDOW, find="<img src=x>"))
    assert "<img" not in "".join(str(chart.figure) for chart in graphs(page))


def test_the_sheet_opens_at_now() -> None:
    """Without a choice the window begins in the week that holds now."""
    page = plan_page(small_view(), Filters())
    assert "from 2027-03-08" in text_of(page)


def test_what_is_below_is_drawn_after_the_first_strip(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """First strip and the others together hold each boat once; a table has no more."""
    monkeypatch.setattr("dashboard.pages.plan.STRIP_LANES", STRIP_LANES / 10)
    view = small_view()
    below = more_strips(view, WINDOW)
    charts = [*graphs(plan_page(view, WINDOW)), *graphs(below)]
    assert [chart.id["part"] for chart in charts] == [0, 1]
    labels = [text for chart in charts for text in chart.figure.layout.yaxis.ticktext]
    assert [text[3:7] for text in labels] == ["B101", "B102"]
    assert more_strips(view, WINDOW.with_table("plan", True)) == []
    assert more_strips(view, replace(WINDOW, by="crew")) == []
