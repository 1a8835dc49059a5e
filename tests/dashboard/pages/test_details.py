"""The details of one operation, as data."""

from __future__ import annotations

from dataclasses import replace

from dashboard.pages.details import details, finder, glance, offers, pointed_at
from models.cautions import CAUTIONS
from tests.dashboard.small_view import WINDOW, of_id, small_view, text_of


def test_it_tells_cause_and_effect() -> None:
    """What an operation waited for and what it delays are told and can be followed."""
    view = small_view()
    told, picked = details(view, replace(WINDOW, op="B101/final.inspect"))
    assert view.causes.waited_for("B101/final.inspect").text in text_of(told)
    told, picked = details(view, replace(WINDOW, op="B101/final.join"))
    delays = view.causes.delays("B101/final.join")
    assert "B101/final.rig" in delays  # its cure ends no sooner
    assert picked is not None
    assert picked["op"] == "B101/final.join"
    assert set(delays) <= set(picked["near"])
    links = of_id(told, "delays").children[1].children
    assert "op=" in links[0].children.href


def test_dangerous_work_carries_its_caution() -> None:
    """A laminating operation shows the caution of lay-up; others show none."""
    view = small_view()
    told, _ = details(view, replace(WINDOW, op="B101/hull.skin"))
    assert CAUTIONS["lay_up"] in text_of(told)
    told, _ = details(view, replace(WINDOW, op="B101/final.rig"))
    assert not any(text in text_of(told) for text in CAUTIONS.values())


def test_without_a_mouse_boat_and_operation_are_chosen() -> None:
    """A list of boats leads to a list of the boat's operations."""
    view = small_view()
    nothing, picked = details(view, WINDOW)
    assert picked is None
    boats = [one.value for one in of_id(nothing, "choose-boat").children]
    assert boats == ["", "B101", "B102"]
    told, _ = details(view, replace(WINDOW, boat="B102"))
    offered = [one.value for one in of_id(told, "choose-op").children]
    assert set(offered[1:]) == {one.id for one in view.rows if one.order == "B102"}


def test_an_operation_that_is_not_there_is_told() -> None:
    """An old address does not fail."""
    told, picked = details(small_view(), replace(WINDOW, op="B999/hull.skin"))
    assert picked is None
    assert "no operation B999/hull.skin" in text_of(told)


def test_an_operation_out_of_the_window_can_be_brought_in() -> None:
    """What the window does not show can be jumped to."""
    view = small_view()
    later = replace(WINDOW, weeks=2, op="B102/final.rig")
    assert "start=2027-03-22" in of_id(details(view, later)[0], "show-week").href
    told, _ = details(view, replace(WINDOW, op="B102/final.rig"))
    assert "Show the week" not in text_of(told)


def test_a_pointer_is_heard_beside_new_drawings() -> None:
    """A drawing that comes in the moment of pointing does not hide the bar."""
    bar = {"customdata": ["B101/final.join", "text"]}
    new = {"prop_id": "1", "value": None}
    used = {"prop_id": "2", "value": {"points": [bar]}}
    assert pointed_at([new, used]) == pointed_at([used, new]) == bar
    drawn = {"prop_id": "drawn.data", "value": "another plan"}
    assert pointed_at([drawn, new, {"prop_id": "2", "value": {"points": []}}]) is None
    assert pointed_at([]) is None


def test_a_glance_is_the_same_in_short() -> None:
    """Under the pointer stand name, cause and the count of what is delayed."""
    view = small_view()
    told = text_of(glance(view, "B101/final.join"))
    assert view.causes.waited_for("B101/final.join").text in told
    assert f"delays {len(view.causes.delays('B101/final.join'))} operation" in told
    assert glance(view, "B999/hull.skin") is None


def test_every_operation_is_offered_while_typing() -> None:
    """The field of codes offers each operation once, by id, with boat and name."""
    view = small_view()
    field, offered = finder()
    assert of_id(field, "choose-typed").list == offered.id
    assert sorted(id for id, _ in offers(view)) == sorted(row.id for row in view.rows)
    assert ["B101/hull.skin", "B101 Skin coat, hull"] in offers(view)
