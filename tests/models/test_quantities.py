"""Materials arithmetic: what is not fixed by an outside value holds as a relation."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from models.quantities import (
    fasteners,
    gel_coat_sprayed_kg,
    glass_kg,
    laminate_kg,
    passes,
    ply_thickness_mm,
    resin_kg,
)

FRACTIONS = st.floats(0.1, 0.9)


@given(st.floats(0.1, 1000), FRACTIONS)
def test_laminate_is_glass_and_resin(glass: float, fraction: float) -> None:
    """A laminate weighs what its glass and its resin weigh."""
    total = laminate_kg(glass, fraction)
    assert glass + resin_kg(glass, fraction) == pytest.approx(total)


@given(st.floats(100, 2000), FRACTIONS, FRACTIONS)
def test_more_glass_is_thinner(grams: float, one: float, other: float) -> None:
    """The richer in glass, the thinner a ply of the same weight."""
    low, high = sorted((one, other))
    assert ply_thickness_mm(grams, low) >= ply_thickness_mm(grams, high)


@given(st.floats(1, 100), st.floats(5, 24))
def test_passes_never_exceed_the_film(film: float, most: float) -> None:
    """The passes suffice for a film, and one fewer would not."""
    count = passes(film, most)
    assert count * most >= film
    assert (count - 1) * most < film


def test_no_loss_and_no_waste() -> None:
    """Without loss or waste, what is used is what stays."""
    assert gel_coat_sprayed_kg(10, 0) == 10
    assert glass_kg(10, 2, 450) == 9


def test_fasteners() -> None:
    """Ten fasteners lie along ten spacings."""
    assert fasteners(10 * 3 * 0.0254, 3) == pytest.approx(10)
