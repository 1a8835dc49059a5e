"""Services of molds by people, on the sheet of their crew."""

from __future__ import annotations

from datetime import date

from scheduler.sheets.day import crew_sheet
from scheduler.sheets.floor import make_floor
from scheduler.sheets.sheet_page import day_page
from tests.scheduler.sheets.small_floor import small_names
from tests.scheduler.small_plan import crewed_plan

DAY = date(2027, 3, 11)


def test_a_service_is_on_the_sheet_of_its_crew() -> None:
    """With its people, behind the steps, and on no other crew's sheet or day."""
    floor = make_floor(crewed_plan(), small_names())
    sheet = crew_sheet(floor, "Lamination", DAY)
    ((number, one, crew),) = sheet.numbered_upkeep
    assert number == len(sheet.steps) + 1
    assert (one.mold, one.day_hours) == ("D23-1", 0.5)
    assert [stint.person for stint in crew] == ["LM-02", "LM-04"]
    assert (number, crew[0]) in sheet.people["LM-02"]
    assert sheet.day_hours == sum(step.day_hours for step in sheet.steps) + 0.5
    assert crew_sheet(floor, "Rigging", DAY).upkeep == ()
    assert crew_sheet(floor, "Lamination", date(2027, 3, 12)).upkeep == ()


def test_the_page_says_who_services_which_mold() -> None:
    """Mold, time, people and every caution are printed: no data say which apply."""
    floor = make_floor(crewed_plan(), small_names())
    page = day_page(floor, [crew_sheet(floor, "Lamination", DAY)])
    part = page.split("Service of molds")[1]
    for text in ("D23-1", "LM-02", "LM-04", "09:45", "Crew 2, 0.5 labor-hours"):
        assert text in part
    assert "all of them are printed" in page
