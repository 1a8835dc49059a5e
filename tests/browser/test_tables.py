"""Table twins in a real browser."""

from __future__ import annotations

from urllib.parse import parse_qs, urlsplit

import pytest

from tests.browser.conftest import Sheet

pytestmark = pytest.mark.browser

ROW = "#{} .ag-center-cols-container .ag-row[row-index='{}'] .ag-cell[col-id=name]"


def chosen(sheet: Sheet) -> str:
    """The operation in the address."""
    return parse_qs(urlsplit(sheet.page.url).query).get("op", [""])[0]


@pytest.mark.parametrize(
    ("by", "table"), [("boats", "plan-table"), ("crew", "crew-table")]
)
def test_a_row_is_told_about_by_mouse_and_keyboard(
    sheet: Sheet, by: str, table: str
) -> None:
    """A click on a row, or Enter on it, chooses the operation that the row is about."""
    sheet.open(f"/plan?weeks=2&table=plan&by={by}")
    sheet.page.click(ROW.format(table, 3))
    name = sheet.page.locator(ROW.format(table, 3)).inner_text()
    sheet.page.wait_for_selector("#waited-for")
    assert sheet.page.locator("#details h2").inner_text() == name
    first = chosen(sheet)
    assert "/" in first
    for key in ("ArrowDown", "ArrowDown", "Enter"):
        sheet.page.keyboard.press(key)
    sheet.page.wait_for_timeout(800)
    below = sheet.page.locator(ROW.format(table, 5)).inner_text()
    assert sheet.page.locator("#details h2").inner_text() == below
    assert sheet.complaints == []


def test_a_twin_is_printed_as_a_whole_table(sheet: Sheet) -> None:
    """Paper gets every row of the grid, in its order, under a repeated heading."""
    sheet.open("/promises")
    sheet.page.wait_for_selector(".ag-row")
    sheet.page.evaluate("() => window.dispatchEvent(new Event('beforeprint'))")
    printed = sheet.page.locator("table.printed")
    assert printed.locator("tbody tr").count() == 30
    assert printed.locator("thead th").count() == 10
    footer = sheet.page.locator("#paper-footer").evaluate("one => one.textContent")
    assert "Plan made" in footer
    sheet.page.evaluate("() => window.dispatchEvent(new Event('afterprint'))")
    assert printed.count() == 0
