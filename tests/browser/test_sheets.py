"""Sheets and travellers as a browser prints them."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from scheduler.sheets.day import crew_sheet
from scheduler.sheets.floor import Floor
from scheduler.sheets.traveller import traveller
from scheduler.sheets.write import write_sheets
from tests.scheduler.sheets.small_floor import small_floor, small_names

pytestmark = pytest.mark.browser

DAY = date(2027, 3, 15)
PAPERS = {"A4": (297 - 20, 210 - 22), "Letter": (279.4 - 20, 215.9 - 22)}
PIXELS_PER_MM = 96 / 25.4
PAGE = re.compile(rb"/Type\s*/Page\b")
TOO_WIDE = """() => [...document.querySelectorAll('td, th, section, .cautions')]
    .filter(one => one.scrollWidth > one.clientWidth + 1)
    .map(one => one.textContent.slice(0, 60))"""
TALLEST = """() => Math.max(...[...document.querySelectorAll('tr, .cautions')]
    .map(one => one.getBoundingClientRect().height))"""


def written(floor: Floor, folder: Path) -> list[Path]:
    """Sheets of two days, a traveller and the index."""
    sheets = [
        [crew_sheet(floor, "Lamination", DAY)],
        [crew_sheet(floor, "Rigging", DAY + timedelta(days=3))],
    ]
    files = write_sheets(floor, sheets, [traveller(floor, "B101")], folder)
    return [*(file.path for file in files), folder / "index.html"]


def opened(browser: Browser, path: Path, paper: str) -> Page:
    """A page laid out as wide as the paper between its margins."""
    width, height = (round(one * PIXELS_PER_MM) for one in PAPERS[paper])
    page = browser.new_page(viewport={"width": width, "height": height})
    page.emulate_media(media="print")
    page.goto(path.resolve().as_uri())
    return page


def pages(page: Page, paper: str, only: str = "") -> int:
    """How many pages are printed."""
    pdf = page.pdf(format=paper, landscape=True, page_ranges=only)
    return len(PAGE.findall(pdf))


@pytest.mark.parametrize("paper", PAPERS)
def test_a_sheet_and_a_traveller_are_printed_whole(
    chromium: Browser, tmp_path: Path, paper: str
) -> None:
    """As many pages as there is to say, none of them empty; nothing runs over."""
    counted = {}
    for path in written(small_floor(), tmp_path):
        page = opened(chromium, path, paper)
        counted[path.stem] = pages(page, paper)
        assert page.evaluate(TOO_WIDE) == []
        assert page.evaluate(TALLEST) < PAPERS[paper][1] * PIXELS_PER_MM
        page.close()
    assert counted == {
        "sheet-2027-03-15": 2,  # the people stand on the second page
        "sheet-2027-03-18": 1,
        "traveller-B101": 2,
        "index": 1,
    }


@pytest.mark.parametrize("paper", PAPERS)
def test_long_names_stay_in_their_cells(
    chromium: Browser, tmp_path: Path, paper: str
) -> None:
    """A name without a space to break at is broken all the same."""
    long = "Verylongnamewithoutaspace" * 4
    names = small_names()
    names = replace(
        names,
        yard=long,
        stations=dict.fromkeys(names.stations, long),
        models={"tern-23": long},
        operations=dict.fromkeys(names.operations, long),
        customers={"B101": long},
        choices={"B101": (long, long)},
    )
    for path in written(small_floor(names), tmp_path):
        page = opened(chromium, path, paper)
        assert page.evaluate(TOO_WIDE) == []
        page.close()


def test_what_is_too_wide_would_be_seen(chromium: Browser, tmp_path: Path) -> None:
    """The look for overflow finds a name that cannot be broken."""
    path = written(small_floor(), tmp_path)[0]
    page = opened(chromium, path, "A4")
    page.add_style_tag(content="td { overflow-wrap: normal; }")
    page.evaluate("() => { document.querySelector('td').textContent = 'x'.repeat(90) }")
    assert page.evaluate(TOO_WIDE) != []
    page.close()
