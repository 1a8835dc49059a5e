"""The rules by which a step uses material, in words and figures."""

from __future__ import annotations

import pytest

from models.materials import (
    Film,
    Glass,
    PerUnit,
    ResinForGlass,
    Rule,
    Spacing,
    amount_of,
    rule_text,
    unit_of,
)


@pytest.mark.parametrize(
    ("rule", "unit", "text"),
    [
        (Film(20, 1.2, 0.25), "kg", "20 mil at 1.2 kg/l, 25 % of the sprayed lost"),
        (Film(20, 1.2, mass_share=0.018), "kg", "1.8 % of 20 mil at 1.2 kg/l"),
        (Glass(1, 450), "kg", "1 ply of 450 g/m²"),
        (Glass(3, 450, 0.1), "kg", "3 plies of 450 g/m², 10 % waste"),
        (
            ResinForGlass(3, 450, 0.3),
            "kg",
            "resin for 3 plies of 450 g/m² at 30 % glass",
        ),
        (Spacing(3), "each", "one every 3 in"),
        (PerUnit(1.5, "m2", 0.2), "m2", "1.5 m² a unit, 20 % waste"),
        (PerUnit(2, "each"), "each", "2 a unit"),
    ],
)
def test_a_rule_in_words(rule: Rule, unit: str, text: str) -> None:
    """Each rule says how it counts and in what."""
    assert unit_of(rule) == unit
    assert rule_text(rule) == text


def test_amounts_grow_with_the_quantity() -> None:
    """Twice the area takes twice the material, whatever the rule."""
    for rule in (Film(20, 1.2), Glass(2, 800), ResinForGlass(2, 800, 0.45), Spacing(6)):
        assert amount_of(rule, 26) == pytest.approx(2 * amount_of(rule, 13))


def test_waste_is_added_to_what_is_in_the_boat() -> None:
    """Ten percent of waste are ten percent more, never a share of the whole."""
    assert amount_of(PerUnit(2, "m2", 0.1), 10) == pytest.approx(22)
    assert amount_of(Spacing(3, 0.1), 7.62) == pytest.approx(110)
    plain = amount_of(ResinForGlass(2, 800, 0.5), 10)
    assert amount_of(ResinForGlass(2, 800, 0.5, 0.05), 10) == pytest.approx(
        plain * 1.05
    )
