"""Cautions beside work that can hurt someone."""

from __future__ import annotations

from pathlib import Path

from models.cautions import CAUTIONS, DEFER, caution_text
from models.loading import load_book

DEMO = Path(__file__).resolve().parent.parent.parent / "demo_orders"


def test_every_caution_defers_to_local_codes() -> None:
    """Each text ends with whom to follow."""
    assert all((caution_text(key) or "").endswith(DEFER) for key in CAUTIONS)
    assert "licensed practice" in DEFER
    assert caution_text(None) is None
    assert caution_text("unheard-of") is None


def test_every_caution_of_the_demo_yard_has_its_text() -> None:
    """No operation names a caution that has no text."""
    used = {
        operation.caution
        for model in load_book(DEMO).models.values()
        for operation in (*model.operations, *model.graphics)
        if operation.caution
    }
    assert used
    assert used <= set(CAUTIONS)
