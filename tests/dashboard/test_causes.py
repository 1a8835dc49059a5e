"""What operations and boats waited for, in words."""

from __future__ import annotations

import pytest

from dashboard.causes import OWN_WORK, cause_of, held_back, spoken
from tests.dashboard.small_view import small_view


def test_the_cause_is_that_of_the_scheduler() -> None:
    """The sheet says what the scheduler found, and nothing else."""
    view = small_view()
    cause = cause_of(view)
    for row in view.rows:
        assert cause(row.id) == view.causes.waited_for(row.id).text


def test_a_hull_that_stays_in_its_mold_waits_for_the_bay() -> None:
    """The second hull is cured long before the bay is free: it waits for the bay."""
    assert "bay" in cause_of(small_view())("B102/hull.demold")


def test_each_boat_says_what_holds_it_back() -> None:
    """Every order has a line, longest wait first, with days."""
    told = held_back(small_view())
    assert set(told) == {"B101", "B102"}
    for parts in told.values():
        assert parts == [OWN_WORK] or all("days" in part for part in parts)
    assert any("bay" in part for part in told["B102"])


@pytest.mark.parametrize(
    ("resource", "told"),
    [
        ("people who can gel_coat", "people for gel coat"),
        ("station booth", "booth"),
        ("a hull mold for tern-23", "a hull mold for Tern 23"),
        ("a <bay>", "a bay"),
    ],
)
def test_resources_are_called_by_name(resource: str, told: str) -> None:
    """Codes of skills, stations and models are replaced by their names."""
    assert spoken(small_view(), resource) == told
