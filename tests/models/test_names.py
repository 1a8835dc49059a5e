"""Names behind the codes of a plan."""

from __future__ import annotations

from pathlib import Path

import pytest

from models.names import MOST_GROUPS, ONE_GROUP, Names, load_names, plain

DEMO = Path(__file__).resolve().parent.parent.parent / "demo_orders"


@pytest.fixture(scope="module")
def demo() -> Names:
    """Names of the demo yard."""
    return load_names(DEMO)


def test_markup_is_taken_out_of_names() -> None:
    """Nothing that a user wrote is read as markup by a chart."""
    assert plain("<b>Bay</b> <1") == "bBay/b 1"


def test_names_come_from_the_yards_files(demo: Names) -> None:
    """Yard, stations, operations and cautions are found; groups are at most six."""
    assert demo.note == ""
    assert demo.yard == "Dunnock Creek Boat Yard"
    assert demo.station("lay-up") == "Lay-up floor"
    assert demo.operation("quillet-23", "hull.demold") != "hull.demold"
    assert demo.caution("quillet-23", "hull.demold") == "lifting"
    groups = demo.group_names(list(demo.stations))
    assert 1 < len(groups) <= MOST_GROUPS


def test_a_graphics_steps_are_named_and_cautioned(demo: Names) -> None:
    """Steps made from a layout of colors have names and the caution of gel coat."""
    name = demo.operation("quillet-23", "hull.color2.mask")
    assert name == "Mask color 2, hull"
    assert demo.caution("quillet-23", "hull.color2.spray") == "gel_coat"


def test_unknown_codes_are_shown_as_they_are(demo: Names) -> None:
    """A code without a name is shown itself; unknown stations make one group."""
    assert demo.station("moon") == "moon"
    assert demo.model("moon-1") == "moon-1"
    assert demo.group_names(["moon"]) == [ONE_GROUP]


def test_a_yard_with_faults_leaves_codes_and_a_note(tmp_path: Path) -> None:
    """Names are a help: without them everything works and says what is missing."""
    assert "No yard.toml" in load_names(tmp_path).note
    (tmp_path / "yard.toml").write_text("name = 3", encoding="utf-8")
    assert "codes are shown" in load_names(tmp_path).note
