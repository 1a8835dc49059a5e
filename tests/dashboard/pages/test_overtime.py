"""Overtime on sheet 2."""

from __future__ import annotations

from dataclasses import replace

from dashboard.filters import Filters
from dashboard.pages.overtime import overtime_part
from dashboard.pages.pace import pace_page
from models.cautions import OVERTIME
from tests.dashboard.small_view import small_view, text_of
from tests.scheduler.small_plan import overtime_plan, small_plan


def test_opened_windows_have_a_sentence_a_table_and_the_caution() -> None:
    """Hours, price, limits and risks, and nobody by name."""
    view = replace(small_view(), plan=overtime_plan())
    told = text_of(pace_page(view, Filters()))
    assert "opened: 1 of 1 on offer, 3.0 labor hours for 120." in told
    assert "more than 1.5 hours of it on a day and 1.5 in a week" in told
    assert "2027-03-12 04:00" in told
    assert OVERTIME in told
    assert "LM-01" not in text_of(overtime_part(view))


def test_windows_that_stay_shut_are_one_sentence() -> None:
    """No table and no caution where nothing is opened."""
    plan = replace(overtime_plan(), answer=small_plan().answer)
    told = text_of(overtime_part(replace(small_view(), plan=plan)))
    assert told == "Overtime No window of overtime is opened; on offer: 1."
    assert OVERTIME not in told


def test_a_yard_without_overtime_has_no_word_of_it() -> None:
    """Nothing on offer, nothing shown."""
    assert overtime_part(small_view()) == []
