"""What an order chose can be built, and is due after it may begin."""

from __future__ import annotations

import pytest

from tests.models.loading.conftest import TinyYard

BOAT = "boats/skiff-16.toml"


@pytest.mark.parametrize(
    ("old", "new", "where", "found"),
    [
        ("skiff-16,canvas", "skiff-18,canvas", "row 3, model", "'skiff-18'"),
        (",canvas-top,", ",hard-top;hard-top,", "row 3, options", "more than once"),
        (",canvas-top,", ",top-lights;canvas,", "row 3, options", "'canvas'"),
        ("2027-04-02,2027-04-02", "2027-02-14,2027-04-02", "row 2, wanted", "02-14"),
        (",,,2,D-1", ",,,0,D-1", "row 3, weight", "'0'"),
        (",,,2,D-1", ",,,1.5,D-1", "row 3, weight", "'1.5'"),
        ("B-2,", "B/2,", "row 3, order", "'B/2'"),
        ("C-2", "<i>C-2</i>", "row 3, customer_ref", "<i>"),
    ],
)
def test_refused(tiny: TinyYard, old: str, new: str, where: str, found: str) -> None:
    """What cannot be built or cannot be meant is a fault of that cell."""
    tiny.replace("orders.csv", old, new)
    told = [one for one in tiny.faults() if one.where == where]
    assert found in " ".join(fault.found for fault in told)


def test_exclusion_works_both_ways(tiny: TinyYard) -> None:
    """Where one option excludes another, choosing both is one fault in any order."""
    tiny.replace("orders.csv", ",canvas-top,", ",hard-top;canvas-top,")
    assert tiny.fault().found == "'canvas-top' with 'hard-top'"


def test_option_for_a_step_that_is_not_there(tiny: TinyYard) -> None:
    """An option's work is never lost with a step that the boat does not have."""
    tiny.replace(BOAT, 'code = "hull.prep"\n', 'code = "hull.prep"\nX')
    tiny.replace(BOAT, "X", 'unless = "hard-top"\n')
    tiny.replace(BOAT, 'operation = "final.rig"', 'operation = "hull.prep"')
    told = [one.found for one in tiny.faults() if one.file == "orders.csv"]
    assert told == ["'hard-top', which adds work to 'hull.prep'"]


def test_due_on_the_day_of_release(tiny: TinyYard) -> None:
    """A boat may be due on the day of its release; that is late, not wrong."""
    tiny.replace("orders.csv", "2027-04-02,2027-04-02", "2027-02-15,2027-02-15")
    assert tiny.faults() == ()


def test_options_with_faults_are_not_unknown(tiny: TinyYard) -> None:
    """An option whose entry has a fault is not unknown to orders."""
    tiny.replace(BOAT, 'name = "Canvas top"', "name = 3")
    assert [fault.where for fault in tiny.faults()] == ["options.canvas-top.name"]
