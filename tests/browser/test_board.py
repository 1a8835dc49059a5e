"""The board in a real browser, on a plan of the demo yard."""

from __future__ import annotations

import re
from contextlib import suppress
from itertools import pairwise
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Locator, TimeoutError, expect

from tests.browser.conftest import PATIENCE, Sheet, fresh, serve

TOLD = 3_000  # milliseconds in which the board tells about a bar

pytestmark = pytest.mark.browser

DRAWINGS = {
    "boats": "/plan",
    "molds-and-places": "/plan?by=holds",
    "crews": "/plan?by=crew",
    "book": "/plan?by=book",
    "pace": "/pace",
}


@pytest.mark.parametrize("name", [*DRAWINGS, "promises"])
def test_every_sheet_opens_whole_and_asks_nobody_else(sheet: Sheet, name: str) -> None:
    """A sheet is drawn without an error, from this computer alone."""
    sheet.open(DRAWINGS.get(name, "/promises"))
    if name == "promises":
        sheet.page.wait_for_selector(".ag-row")
    else:
        sheet.drawn()
    sheet.page.wait_for_timeout(300)
    sheet.picture(name)
    assert sheet.complaints == []
    assert len(sheet.asked) > 3
    assert sheet.foreign() == []


@pytest.mark.parametrize("path", ["/plan", "/pace", "/promises"])
def test_a_sheet_has_one_heading_and_one_main_part(sheet: Sheet, path: str) -> None:
    """A sheet says its language; one main heading, one main part, a skip link."""
    sheet.open(path)
    assert sheet.page.locator("html").get_attribute("lang") == "en"
    assert sheet.page.locator("h1").count() == 1
    assert sheet.page.locator("main").count() == 1
    sheet.page.keyboard.press("Tab")
    focused = sheet.page.locator(":focus")
    expect(focused).to_have_text(re.compile("^Skip to"))
    expect(focused).to_be_in_viewport(ratio=1)


def test_no_drawing_offers_to_send_itself_away(sheet: Sheet) -> None:
    """No button of a drawing shares, uploads or names its maker."""
    sheet.open("/pace")
    sheet.drawn()
    buttons = sheet.page.locator(".modebar-btn")
    titles = [
        one.get_attribute("data-title") or one.get_attribute("aria-label") or ""
        for one in buttons.all()
    ]
    assert titles
    wrong = re.compile("share|cloud|upload|edit|plotly", re.IGNORECASE)
    assert [one for one in titles if wrong.search(one)] == []


def test_the_grid_sorts(sheet: Sheet) -> None:
    """A click on a heading sorts the promises by it, a second one the other way."""
    sheet.open("/promises")
    rows = ".ag-center-cols-container .ag-row"
    sheet.page.wait_for_selector(rows)

    def finishes() -> list[str]:
        found = sheet.page.evaluate(
            "() => { const api = dash_ag_grid.getApi('promises-table'); const all = [];"
            "api.forEachNodeAfterFilterAndSort(one => all.push(one.data.finish));"
            "return all; }"
        )
        return [str(one) for one in found]

    heading = sheet.page.locator(".ag-header-cell[col-id=finish] .ag-header-cell-label")
    heading.click()
    assert finishes() == sorted(finishes())
    assert len(finishes()) > 20
    heading.click()
    assert finishes() == sorted(finishes(), reverse=True)


def test_the_grid_does_not_export_past_the_server(sheet: Sheet) -> None:
    """The export is a link to the server; the grid's own one is off."""
    sheet.open("/promises")
    sheet.page.wait_for_selector(".ag-row")
    with sheet.page.expect_download() as waiting:
        sheet.page.click("a[href='/export/promises.csv']")
    text = Path(waiting.value.path()).read_text("utf-8")
    assert text.startswith("order,")
    assert len(text.splitlines()) == 31
    off = sheet.page.evaluate(
        "() => dash_ag_grid.getApi('promises-table').getGridOption('suppressCsvExport')"
    )
    assert off is True


def point(sheet: Sheet, bar: Locator) -> tuple[float, float]:
    """Point at a bar until the board tells about it; give where it is.

    Bars are drawn a moment before the board hears of clicks on them, and move while
    the sheet is laid out; a slow computer lost the click that came in between. A
    pointer that stays on one bar is heard of once, so it leaves and comes back; not
    too soon, as each time replaces what the board was about to tell.
    """
    for _ in range(PATIENCE // TOLD):
        box = bar.bounding_box()
        assert box is not None
        x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        sheet.page.mouse.move(1, 1)
        sheet.page.wait_for_timeout(100)
        sheet.page.mouse.move(x, y)
        told = sheet.page.locator("#glance p").first
        with suppress(TimeoutError):
            told.wait_for(timeout=TOLD)
            return x, y
    raise AssertionError("the board tells nothing about the bar under the pointer")


def test_a_clicked_bar_is_told_about(sheet: Sheet) -> None:
    """A click on a bar puts the operation into the address and tells its cause."""
    sheet.open("/plan")
    sheet.drawn()
    before = sheet.page.url
    bars = sheet.page.locator(".js-plotly-plot .barlayer .trace .point path")
    wide = next(
        one for one in bars.all() if (one.bounding_box() or {"width": 0})["width"] > 15
    )
    x, y = point(sheet, wide)
    expect(sheet.page.locator(".hoverlayer .hovertext").first).to_be_visible()
    sheet.page.mouse.click(x, y)
    sheet.page.wait_for_selector("#waited-for")
    assert sheet.page.url != before
    assert "op=" in sheet.page.url
    told = sheet.page.locator("#waited-for").inner_text()
    assert len(told) > len("What it waited for") + 10
    expect(sheet.page.locator("#delays")).to_be_visible()
    sheet.picture("details")
    sheet.page.go_back()
    expect(sheet.page.locator("#waited-for")).to_have_count(0)
    assert sheet.complaints == []


def test_an_operation_is_chosen_without_a_mouse(sheet: Sheet) -> None:
    """The keyboard alone finds an operation; what is told is announced."""
    sheet.open("/plan")
    sheet.page.locator("#choose-boat").focus()
    sheet.page.keyboard.press("ArrowDown")
    sheet.page.wait_for_selector("#choose-op")
    sheet.page.locator("#choose-op").focus()
    sheet.page.keyboard.press("ArrowDown")
    sheet.page.wait_for_selector("#waited-for")
    assert sheet.page.locator("[aria-live=polite] #waited-for").count() == 1


def test_an_operation_is_found_by_typing(sheet: Sheet) -> None:
    """A field offers every operation; what is typed and entered is told about."""
    sheet.open("/plan?weeks=2")
    field = sheet.page.locator("#choose-typed")
    offered = sheet.page.locator("#operation-codes option")
    expect(offered).to_have_count(1445)
    operation = offered.nth(700).get_attribute("value")
    assert operation is not None
    field.fill(operation)
    field.press("Enter")
    sheet.page.wait_for_selector("#waited-for")
    assert sheet.page.locator("#choose-op").input_value() == operation
    assert sheet.complaints == []


def test_a_sheet_is_printed(sheet: Sheet) -> None:
    """A sheet prints on one page of A4 or more, across."""
    sheet.open("/plan")
    sheet.drawn()
    paper = sheet.page.pdf(prefer_css_page_size=True)
    assert paper.startswith(b"%PDF")
    assert len(re.findall(rb"/Type\s*/Page\b", paper)) >= 1
    sizes = re.findall(rb"/MediaBox\s*\[\s*0 0 ([\d.]+) ([\d.]+)", paper)
    assert {(round(float(a)), round(float(b))) for a, b in sizes} == {(842, 595)}


def test_paper_does_not_invite_to_choose(sheet: Sheet) -> None:
    """What is chosen is printed beside the drawing; an empty frame is not."""
    sheet.open("/plan")
    sheet.drawn()
    invitation = sheet.page.locator("#side .invitation")
    expect(invitation).to_be_visible()
    sheet.page.emulate_media(media="print")
    expect(sheet.page.locator("#side")).to_be_hidden()
    sheet.page.emulate_media(media="screen")
    choice = sheet.page.locator("#choose-boat option").nth(1)
    sheet.page.select_option("#choose-boat", choice.get_attribute("value"))
    sheet.page.select_option("#choose-op", index=1)
    expect(invitation).to_have_count(0)
    sheet.page.emulate_media(media="print")
    expect(sheet.page.locator("#side")).to_be_visible()


@pytest.mark.parametrize("path", ["/plan", "/pace", "/promises"])
def test_a_sheet_fits_a_phone(sheet: Sheet, path: str) -> None:
    """Only a drawing or a table is moved sideways there, never the sheet."""
    sheet.page.set_viewport_size({"width": 390, "height": 844})
    sheet.open(path)
    if path == "/promises":
        sheet.page.wait_for_selector(".ag-row")
    else:
        sheet.drawn()
    wide = sheet.page.evaluate("document.documentElement.scrollWidth")
    assert wide <= 390


@pytest.mark.parametrize("path", ["/plan", "/pace", "/promises"])
def test_controls_stand_in_line(sheet: Sheet, path: str) -> None:
    """Labels that stand in one row have one top, whatever they are labels of."""
    sheet.open(path)
    sheet.page.wait_for_selector(".controls .label")
    boxes = [one.bounding_box() for one in sheet.page.locator(".controls .label").all()]
    tops = [round(box["y"], 1) for box in boxes if box is not None]
    assert len(tops) > 1
    rows = {top for top in tops if not any(0 < abs(top - one) < 12 for one in tops)}
    assert rows == set(tops)


def test_a_sheet_is_named_in_its_tab(sheet: Sheet) -> None:
    """The title says which sheet of which yard it is, and follows a change."""
    sheet.open("/promises")
    expect(sheet.page).to_have_title("Promises · Dunnock Creek Boat Yard · Hullpace")
    sheet.page.click("#sheet-pace")
    expect(sheet.page).to_have_title("Pace · Dunnock Creek Boat Yard · Hullpace")


def test_what_a_boat_waits_for_is_not_cut_off(sheet: Sheet) -> None:
    """On a screen of 1400 pixels the last column has room for all of it."""
    sheet.open("/promises")
    sheet.page.wait_for_selector(".ag-row")
    cut = sheet.page.evaluate(
        "() => [...document.querySelectorAll('.ag-cell')]"
        ".filter(one => one.scrollWidth > one.clientWidth)"
        ".map(one => one.textContent)"
    )
    assert cut == []


def test_headings_of_promises_stay_low_on_a_narrow_screen(sheet: Sheet) -> None:
    """No column is squeezed until its heading has a letter a line."""
    sheet.page.set_viewport_size({"width": 1024, "height": 768})
    sheet.open("/promises")
    sheet.page.wait_for_selector(".ag-row")
    box = sheet.page.locator(".ag-header").bounding_box()
    assert box is not None
    assert box["height"] < 70


@pytest.mark.parametrize("chart", ["load-chart", "stations-chart"])
def test_weeks_of_pace_do_not_overlap_on_a_phone(sheet: Sheet, chart: str) -> None:
    """Names of weeks stand beside one another, not upon one another."""
    sheet.page.set_viewport_size({"width": 390, "height": 844})
    sheet.open("/pace")
    sheet.drawn()
    ticks = sheet.page.locator(f"#{chart} .xtick text").all()
    boxes = [box for one in ticks if (box := one.bounding_box()) is not None]
    assert len(boxes) > 5
    for left, right in pairwise(sorted(boxes, key=lambda box: box["x"])):
        assert left["x"] + left["width"] <= right["x"]


def test_molds_and_places_are_printed_on_one_page(sheet: Sheet) -> None:
    """A drawing taller than the page is made smaller, not cut through a row."""
    sheet.open("/plan?by=holds&weeks=12")
    sheet.drawn()
    sheet.page.wait_for_timeout(500)
    pdf = sheet.page.pdf(prefer_css_page_size=True)
    assert len(re.findall(rb"/Type\s*/Page\b", pdf)) == 1


def test_buttons_of_a_drawing_leave_its_dates_free(sheet: Sheet) -> None:
    """The row of buttons lies over no label of the axis of time."""
    sheet.open("/plan?weeks=12")
    sheet.drawn()
    drawing = sheet.page.locator(".drawing").first
    drawing.hover()
    bar = drawing.locator(".modebar").bounding_box()
    labels = [one.bounding_box() for one in drawing.locator(".xtick").all()]
    assert bar is not None
    assert len(labels) > 5
    for label in labels:
        assert label is not None
        beside = label["x"] >= bar["x"] + bar["width"]
        assert beside or label["x"] + label["width"] <= bar["x"]


def test_a_missing_plan_says_how_to_make_one(chromium: Browser, tmp_path: Path) -> None:
    """Without a plan the sheet names the command that makes one."""
    server, address = serve(tmp_path / "plan.json", tmp_path / "log")
    try:
        with fresh(chromium, address) as sheet:
            sheet.open("/plan")
            told = sheet.page.locator("#sheet").inner_text()
            assert "hullpace plan --out" in told
            sheet.picture("no-plan")
            assert sheet.complaints == []
    finally:
        server.terminate()
        server.wait(10)
