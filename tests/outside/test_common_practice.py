"""The demo boats are built as the trade builds them.

Every fact in this file: common practice, no source. The boats, their sizes and hours
are invented; what is checked is that they follow the practice.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from models.boat import BoatModel, RoutingOperation, WorkLine
from models.loading import load_book
from models.loading.checks.routing import reached, successors
from models.orders import Order
from models.quantities import fasteners, passes
from models.routing import route

DEMO = Path(__file__).parents[2] / "demo_orders"
MODELS = load_book(DEMO).models
LARGE_FT = 30

each_model = pytest.mark.parametrize("model", MODELS.values(), ids=MODELS.keys())


def step(model: BoatModel, code: str) -> RoutingOperation:
    """Give a step by its code."""
    return next(one for one in model.operations if one.code == code)


def steps(model: BoatModel, pattern: str) -> list[str]:
    """Give the codes that match a pattern, of which there must be some."""
    codes = [o.code for o in model.operations if re.fullmatch(pattern, o.code)]
    assert codes, f"{model.id} has no step {pattern}"
    return codes


def always_after(model: BoatModel, before: str, after: str) -> None:
    """Check that the routing puts each step of one kind after each of another."""
    links = successors(model)
    for first in steps(model, before):
        behind = reached(links, first) - {first}
        for second in steps(model, after):
            assert second in behind, f"{model.id}: {second} may come before {first}"


def spray(model: BoatModel, code: str, mil: int) -> WorkLine:
    """Give the line that sprays a film of some thickness."""
    lines = [one for one in step(model, code).work if f"{mil} mil" in one.text]
    assert len(lines) == 1, f"{model.id}: {code} sprays {mil} mil {len(lines)} times"
    return lines[0]


@each_model
def test_gel_coat_on_the_hull(model: BoatModel) -> None:
    """Sides get 20 mil in one pass, the bottom 30 mil in two (see CV-186)."""
    sides, bottom = (spray(model, "hull.gel_coat", mil) for mil in (20, 30))
    assert sides.quantity == "hull_side_area_m2"
    assert sides.factor == passes(20) == 1
    assert bottom.quantity == "hull_bottom_area_m2"
    assert bottom.factor == passes(30) == 2
    both = ("hull_side_area_m2", "hull_bottom_area_m2")
    areas = sum(model.quantities[name] for name in both)
    assert areas == pytest.approx(model.quantities["hull_area_m2"])


@each_model
def test_gel_coat_on_the_deck(model: BoatModel) -> None:
    """The deck gets 20 mil in one pass."""
    line = spray(model, "deck.gel_coat", 20)
    assert line.quantity == "deck_area_m2"
    assert line.factor == passes(20) == 1


@each_model
def test_fastening_of_the_joint(model: BoatModel) -> None:
    """Smaller decks are screwed every 3 in; larger ones glassed and through-bolted."""
    texts = " ".join(line.text.lower() for line in step(model, "join.set").work)
    assert "adhesive" in texts
    length = model.quantities["joint_length_m"]
    if model.length_ft < LARGE_FT:
        assert "screw every 3 in" in texts
        assert model.quantities["joint_screw_count"] == round_up(fasteners(length, 3))
    else:
        assert "through-bolt" in texts
        assert model.quantities["joint_bolt_count"] > 0
        always_after(model, r"join\.set", r"join\.glass")


@each_model
def test_clamps_of_the_harness(model: BoatModel) -> None:
    """The harness is clamped every 8 in."""
    length = model.quantities["harness_length_m"]
    clamps = model.quantities["harness_clamp_count"]
    assert clamps == round_up(fasteners(length, 8))
    used = [line.quantity for line in step(model, "hull.electrical").work]
    assert "harness_clamp_count" in used


@each_model
def test_order_of_the_laminate(model: BoatModel) -> None:
    """Gel coat, skin, barrier mat, then structural knits, in hull and deck."""
    for part in ("hull", "deck"):
        always_after(model, rf"{part}\.gel_coat", rf"{part}\.skin")
        always_after(model, rf"{part}\.skin", rf"{part}\.barrier")
        always_after(model, rf"{part}\.barrier", rf"{part}\.structure.*")


@each_model
def test_stringers_are_set_in_the_mold(model: BoatModel) -> None:
    """Stringers follow the laminate while the hull is still in its mold."""
    hull = next(part for part in model.parts if part.id == "hull")
    assert hull.mold_to == "hull.demold"
    always_after(model, r"hull\.structure.*", r"hull\.stringers")
    always_after(model, r"hull\.stringers", r"hull\.demold")


@each_model
def test_demold_only_after_the_cure(model: BoatModel) -> None:
    """Each molded part has a cure wait to its demold, and no step after the cure."""
    for part in (one for one in model.parts if one.mold_to):
        into = [wait for wait in model.waits if wait.after == part.mold_to]
        assert into, f"{model.id}: nothing leads to {part.mold_to}"
        assert {wait.kind for wait in into} == {"cure"}
        for wait in into:
            assert wait.clock == "wall"
            assert wait.data_sheet_min_hours is not None
            assert wait.min_hours >= wait.data_sheet_min_hours > 0


@each_model
def test_interior_before_the_deck(model: BoatModel) -> None:
    """Tanks, systems and interior go in before the deck closes the hull."""
    inside = r"hull\.(tanks|plumbing|electrical|sole|cuddy|cabin|galley)"
    always_after(model, inside, r"join\.set")


@each_model
def test_rub_rail_after_the_joint(model: BoatModel) -> None:
    """The rub rail covers the joint, so it comes after it."""
    always_after(model, r"join\.set", r"final\.rub_rail")


@each_model
def test_backing_plates_under_the_deck(model: BoatModel) -> None:
    """Backing plates are glassed under the deck in its mold, before hardware."""
    assert step(model, "deck.backing").parts == ("deck",)
    always_after(model, r"deck\.structure.*", r"deck\.backing")
    always_after(model, r"deck\.backing", r"deck\.demold")
    always_after(model, r"deck\.backing", r"deck\.hardware")


@each_model
def test_upholstery_is_made_in_house(model: BoatModel) -> None:
    """Covers are cut and padded, sewn, pulled on; seams are sewn two or three times."""
    always_after(model, r"upholstery\.cut", r"upholstery\.sew")
    always_after(model, r"upholstery\.sew", r"upholstery\.cover")
    sewn = [line.quantity for line in step(model, "upholstery.sew").work]
    assert sewn.count("seam_length_m") == 2
    assert sewn.count("triple_seam_length_m") == 1
    amounts = model.quantities
    assert 0 < amounts["triple_seam_length_m"] <= amounts["seam_length_m"]


@each_model
def test_graphics_before_the_laminate(model: BoatModel) -> None:
    """Every layout's colors are sprayed in the mold before the background gel coat."""
    assert model.graphics
    for graphic in model.graphics:
        order = Order("X-1", "", model.id, (), graphic.id, None, None, None)
        codes = [one.code for one in route(model, order).operations]
        sprays = [code for code in codes if re.search(r"\.color\d+\.spray", code)]
        assert len(sprays) == len(graphic.colors)
        laminate = codes.index(f"{graphic.part}.skin")
        assert max(map(codes.index, sprays)) < codes.index(graphic.before) < laminate
        always_after(model, re.escape(graphic.after), re.escape(graphic.before))
        always_after(model, re.escape(graphic.before), rf"{graphic.part}\.skin")


def round_up(count: float) -> int:
    """Whole fasteners for an estimate."""
    return -int(-count // 1)
