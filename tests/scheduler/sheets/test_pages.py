"""Pages of sheets: complete, escaped and on their own."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from html.parser import HTMLParser
from pathlib import Path

from models.cautions import CAUTIONS, DEFER
from models.names import Names
from scheduler.plan import Plan
from scheduler.sheets.day import crew_sheet
from scheduler.sheets.floor import Floor, make_floor
from scheduler.sheets.page import ranges
from scheduler.sheets.sheet_page import day_page
from scheduler.sheets.traveller import traveller
from scheduler.sheets.write import write_sheets
from tests.scheduler.sheets.small_floor import small_floor, small_names
from tests.scheduler.small_plan import small_plan

DAY = date(2027, 3, 15)
OPEN_TAGS = {"br", "col", "meta", "link", "hr"}


class Balance(HTMLParser):
    """Finds tags that are not closed where they should be."""

    def __init__(self) -> None:
        super().__init__()
        self.stack: list[str] = []

    def handle_starttag(self, tag: str, attrs: object) -> None:
        """Keep a tag that must be closed."""
        if tag not in OPEN_TAGS:
            self.stack.append(tag)

    def handle_endtag(self, tag: str) -> None:
        """Take off the tag that ends."""
        assert self.stack[-1:] == [tag]
        self.stack.pop()


def page_of(floor: Floor, day: date = DAY) -> str:
    """All crews of a day."""
    return day_page(floor, [crew_sheet(floor, crew, day) for crew in floor.crews])


def balanced(page: str) -> bool:
    """Whether every tag of a page is closed in its place."""
    found = Balance()
    found.feed(page)
    found.close()
    return not found.stack


def renamed(plan: Plan, before: str, after: str) -> Plan:
    """A plan in which a person is called otherwise."""
    rows = tuple(
        replace(
            row,
            people=tuple(
                replace(one, person=one.person.replace(before, after))
                for one in row.people
            ),
        )
        for row in plan.answer.operations
    )
    return replace(plan, answer=replace(plan.answer, operations=rows))


def test_a_page_says_what_a_crew_needs() -> None:
    """Step, boat, mold and place, people, release, caution and whom to follow."""
    page = page_of(small_floor())
    for text in (
        *("Lamination: Monday 2027-03-15", "B101", "hull.demold", "H23-1<br>Bay 1"),
        *("LM-01", "Do not demold before Mon Mar 15, 06:00", "America/New_York"),
        *("Lifting, demolding and turning", "cure is over", "Hands off", DEFER),
    ):
        assert (text in page) or (text.replace("'", "&#x27;") in page), text
    assert balanced(page)


def test_one_of_a_kind_is_said_as_one() -> None:
    pages = [page_of(small_floor(), date(2027, 3, day)) for day in range(15, 20)]
    for page in pages:
        assert not re.search(r"\b1 (people|steps)\b", page)
    said = " ".join(pages)
    assert re.search(r"\b1 person\b", said) or re.search(r"\b1 step\b", said)


def test_a_page_asks_nobody_for_anything() -> None:
    """No script, no picture, no address; a policy forbids what is not there."""
    floor = small_floor()
    for page in (page_of(floor), page_of(floor, date(2027, 3, 14))):
        assert not re.search(r"<script|<img|<link|https?:|url\(|@import", page)
        assert "default-src 'none'" in page


def test_what_the_yard_wrote_is_never_markup() -> None:
    """A name with signs of markup is shown as it is, everywhere."""
    nasty = '<b onclick="x">&"'
    names = replace(
        small_names(),
        yard=nasty,
        choices={"B101": (nasty,)},
        customers={"B101": nasty},
        operations={("tern-23", "hull.demold"): nasty},
        groups=dict.fromkeys(small_names().groups, nasty),
    )
    floor = make_floor(renamed(small_plan(), "LM-01", nasty), names)
    from scheduler.sheets.traveller_page import traveller_page

    for page in (page_of(floor), traveller_page(floor, traveller(floor, "B101"))):
        assert "<b onclick" not in page
        assert "&lt;b onclick=&quot;x&quot;&gt;&amp;&quot;" in page
        assert balanced(page)


def test_all_cautions_are_printed_where_nobody_knows_which_apply() -> None:
    """Without the yard's files every caution is shown, and why."""
    floor = make_floor(small_plan(), Names(note="No yard.toml here."))
    page = page_of(floor)
    assert "No yard.toml here." in page
    assert "all of them are printed" in page
    titles = [text.split(":", 1)[0] for text in CAUTIONS.values()]
    assert [one for one in titles if one not in page] == []


def test_a_changed_file_is_named() -> None:
    """Where the yard's files are not those of the plan, the page says so."""
    names = replace(small_names(), sources={"yard.toml": "1" * 64})
    assert "yard.toml changed after this plan was made" in small_floor(names).note
    same = replace(small_names(), sources={"yard.toml": "0" * 64})
    assert small_floor(same).note == ""


def test_files_are_written_and_indexed(tmp_path: Path) -> None:
    """An index leads to each file; an order's number never leads out of the folder."""
    floor = small_floor()
    days = [[crew_sheet(floor, crew, DAY) for crew in floor.crews]]
    boat = traveller(floor, "B101")
    boats = [boat, replace(boat, order="../B 1"), replace(boat, order="../B?1")]
    written = write_sheets(floor, days, boats, tmp_path / "out")
    names = [file.path.name for file in written]
    assert names == [
        "sheet-2027-03-15.html",
        "traveller-B101.html",
        "traveller-..-B-1.html",
        "traveller-..-B-1-2.html",
    ]
    index = (tmp_path / "out" / "index.html").read_text("utf-8")
    assert all(f'href="{name}"' in index for name in names)
    assert {path.name for path in (tmp_path / "out").iterdir()} == {
        *names,
        "index.html",
    }
    assert balanced(index)


def test_runs_of_numbers_are_drawn_together() -> None:
    """1, 2, 3 and 7 are 1–3, 7."""
    assert ranges([1, 2, 3, 7]) == "1–3, 7"
    assert ranges([4]) == "4"


def test_what_lies_on_other_days_is_said() -> None:
    """A step that goes on says since when and until when, names of days unharmed."""
    page = page_of(small_floor(), date(2027, 3, 19))
    assert "Begun Thu Mar 18, 08:00; goes on until Tue Mar 23, 12:00" in page
