"""What a page shows stands in its address and is read back from it."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboard.filters import (
    BY,
    SHOW,
    WEEKS,
    Filters,
    link,
    read_filters,
    window,
    write_filters,
)

MONDAYS = st.dates(date(2020, 1, 6), date(2100, 1, 4)).filter(
    lambda day: day.isoweekday() == 1
)
WORDS = st.text(max_size=20).map(str.strip)


@given(
    st.builds(
        Filters,
        by=st.sampled_from(BY),
        start=st.none() | MONDAYS,
        weeks=st.sampled_from(WEEKS),
        show=st.sampled_from(SHOW),
        find=WORDS,
        station=WORDS,
        op=WORDS,
    )
)
def test_an_address_brings_back_what_was_chosen(filters: Filters) -> None:
    """Whatever is chosen is read back from the address."""
    assert read_filters(write_filters(filters)) == filters


@pytest.mark.parametrize(
    "search",
    [None, "", "?", "?by=nonsense&weeks=-3&start=yesterday&show=x", "?weeks=9"],
)
def test_nonsense_is_left_at_its_default(search: str | None) -> None:
    """An address that makes no sense shows the sheet as it first opens."""
    assert read_filters(search) == Filters()


def test_any_day_stands_for_its_week() -> None:
    """A window begins on a Monday, whichever day the address names."""
    assert read_filters("?start=2026-12-03").start == date(2026, 11, 30)


def test_a_window_begins_with_the_week_of_now() -> None:
    """Without a start the window begins with this week and spans its weeks."""
    first, after = window(Filters(), date(2026, 12, 3))
    assert first == date(2026, 11, 30)
    assert (after - first).days == 7 * Filters().weeks


def test_a_link_keeps_the_other_choices() -> None:
    """Changing one choice leaves the others as they are."""
    kept = Filters(by="crew", find="301")
    target = link("/plan", kept, weeks=4)
    assert target.startswith("/plan?")
    changed = read_filters(target.removeprefix("/plan"))
    assert (changed.by, changed.find, changed.weeks) == ("crew", "301", 4)


def test_names_of_tables_are_kept_apart() -> None:
    """Charts are shown as tables one by one."""
    one = Filters().with_table("load", shown=True)
    both = one.with_table("use", shown=True)
    assert both.has_table("load")
    assert both.has_table("use")
    assert not both.with_table("load", shown=False).has_table("load")
    assert not one.has_table("use")
