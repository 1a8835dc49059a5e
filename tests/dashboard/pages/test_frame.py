"""The frame of a sheet, as data."""

from __future__ import annotations

from dataclasses import replace

from dashboard.pages.frame import SHEETS, head, skeleton, standing, trouble
from dashboard.source import NoSheet
from scheduler.plan import Level
from tests.dashboard.small_view import components, of_id, small_view, text_of


def test_the_zone_is_named_once() -> None:
    """The title block names yard, sheet, plan time and the zone, once."""
    told = text_of(head("/pace", small_view()))
    assert told.count("America/New_York") == 1
    for part in ("Example Creek", "2 of 3", "2027-03-07 18:00", "ago", "2027-03-08"):
        assert part in told


def test_the_sheets_are_linked_and_the_open_one_marked() -> None:
    """All sheets can be reached from each, and the open one says so."""
    for path, name, _ in SHEETS:
        tree = head(path, small_view())
        assert of_id(tree, f"sheet-{name.lower()}").href == path
        marked = [
            one
            for one in components(tree)
            if hasattr(one, "to_plotly_json")
            and one.to_plotly_json()["props"].get("aria-current") == "page"
        ]
        assert len(marked) == 1


def test_the_standing_never_claims_more_than_is_known() -> None:
    """Proven, bounded and feasible are told apart."""
    view = small_view()

    def told(value: float, bound: float | None, status: str) -> str:
        first = Level("tardiness", value, bound, status)
        answer = replace(view.plan.answer, levels=(first,))
        return " ".join(standing(replace(view, plan=replace(view.plan, answer=answer))))

    assert told(6, 6, "proven") == "6 weighted late days proven: none has fewer"
    assert "no plan has fewer than 2" in told(6, 2, "bounded")
    assert "no bound known" in told(6, None, "feasible")
    # That no plan has fewer than none tells nobody anything.
    assert told(6, 0, "bounded").endswith("fewest possible: not known")


def test_a_reader_can_skip_to_the_drawing() -> None:
    """The first thing in the frame leads to the main part, which can be focused."""
    tree = skeleton()
    first = next(one for one in components(tree) if type(one).__name__ == "A")
    assert first.href == "#drawing"
    assert of_id(tree, "drawing").tabIndex == -1
    live = of_id(tree, "details").to_plotly_json()["props"]
    assert live["aria-live"] == "polite"


def test_trouble_says_what_and_what_to_do() -> None:
    """An error names the reason and the command that mends it."""
    told = text_of(trouble(NoSheet("No plan yet", "There is no file.", "Make one")))
    assert "No plan yet There is no file. Make one" in told
