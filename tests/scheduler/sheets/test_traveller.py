"""The traveller of one boat."""

from __future__ import annotations

import pytest

from models.errors import UsageError
from scheduler.sheets.traveller import traveller
from scheduler.sheets.traveller_page import traveller_page
from tests.scheduler.sheets.small_floor import small_floor
from tests.scheduler.small_plan import small_plan


def test_a_traveller_has_every_step_of_its_boat_in_order() -> None:
    """From first to last, numbered, with what has been done and begun."""
    boat = traveller(small_floor(), "B101")
    own = {one.id for one in small_plan().problem.operations if one.order == "B101"}
    assert {one.operation for one in boat.stops} == own
    assert [one.number for one in boat.stops] == list(range(1, len(own) + 1))
    assert [one.start for one in boat.stops] == sorted(one.start for one in boat.stops)
    states = [one.state for one in boat.stops]
    assert states == ["done", "started"] + ["planned"] * (len(own) - 2)


def test_a_traveller_names_the_customer_by_reference_and_nobody_else() -> None:
    """Dates, options and the reference stand on it; no person of the yard does."""
    floor = small_floor()
    page = traveller_page(floor, traveller(floor, "B101"))
    for text in ("C-1", "Hard top", "2027-03-19", "2 working days late", "Tern 23"):
        assert text in page, text
    assert not [one.id for one in small_plan().problem.people if one.id in page]


def test_a_traveller_has_lines_to_sign() -> None:
    """Each open step has its lines, a gate its result, a demold its release."""
    floor = small_floor()
    boat = traveller(floor, "B101")
    page = traveller_page(floor, boat)
    still = [one for one in boat.stops if one.state != "done"]
    assert page.count("begun <span") == len(still)
    assert page.count("cure is over") == 2
    assert page.count("</span>pass</span>") == 1
    assert "cure, at least 62.5 h after step " in page


def test_an_unknown_order_is_refused() -> None:
    """An order that the plan does not have is named."""
    with pytest.raises(UsageError, match="no order B999"):
        traveller(small_floor(), "B999")
