"""Sheet 3, as data."""

from __future__ import annotations

from dashboard.filters import Filters
from dashboard.pages.promises import promise_rows, promises_page
from tests.dashboard.small_view import components, of_id, small_view, text_of


def test_every_order_is_listed_with_what_it_waits_for() -> None:
    """Promised, planned, days and cause stand in one row for each order."""
    rows = {row["order"]: row for row in promise_rows(small_view())}
    assert set(rows) == {"B101", "B102"}
    assert rows["B101"]["days_early"] == -2  # late
    assert rows["B101"]["standing"] == "2 working days late"
    assert rows["B101"]["finish"] == "2027-03-23 12:00"
    assert rows["B101"]["customer"] == "C-1"
    assert rows["B102"]["proposed"] == "2027-04-06"
    assert all(row["cause"] for row in rows.values())


def test_the_grid_sorts_and_filters_but_does_not_export() -> None:
    """Sorting and filtering are the grid's; its own export is off."""
    table = of_id(promises_page(small_view(), Filters()), "promises-table")
    assert table.defaultColDef["sortable"]
    assert all("filter" in column for column in table.columnDefs)
    assert table.dashGridOptions["suppressCsvExport"]
    assert table.dashGridOptions["suppressExcelExport"]
    shown = {column.get("tooltipField", column["field"]) for column in table.columnDefs}
    assert shown | {"days_early"} == set(promise_rows(small_view())[0])


def test_late_orders_alone() -> None:
    """The summary and the grid keep to what was asked for."""
    page = promises_page(small_view(), Filters(show="late"))
    assert [row["order"] for row in of_id(page, "promises-table").rowData] == ["B101"]
    assert "1 order: 1 will be late, by 2 working days in all" in text_of(page)


def test_the_export_is_the_servers() -> None:
    """What is taken along is made by the server, safe for spreadsheets."""
    page = promises_page(small_view(), Filters())
    assert of_id(page, "promises").href == "/export/promises.csv"


def test_the_longest_wait_stands_in_the_table_and_all_of_them_behind_it() -> None:
    """One wait fits the column; the others are in the tip, on paper and exported."""
    table = of_id(promises_page(small_view(), Filters()), "promises-table")
    column = next(one for one in table.columnDefs if one["field"] == "longest")
    assert column["tooltipField"] == "cause"
    for row in table.rowData:
        assert str(row["cause"]).startswith(str(row["longest"]))


def test_no_order_left_says_so() -> None:
    """Where no order is left, the sheet says what to do instead of an empty table."""
    page = promises_page(small_view(), Filters(find="no such boat"))
    assert not [one for one in components(page) if type(one).__name__ == "AgGrid"]
    assert "No order fits these choices" in text_of(page)
