"""Cautions beside work that can hurt someone."""

from __future__ import annotations

from pathlib import Path

from models.cautions import CAUTIONS, DEFER, OVERTIME, caution_text
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


def test_the_caution_of_overtime_has_its_published_risks() -> None:
    """Risks as in CV-220 and CV-221, their source, and whom to follow.

    "The impact of overtime and long work hours on occupational injuries and illnesses",
    Occup Environ Med 2005;62:588-597; "Effect of overtime on worker productivity" (a
    trade journal), which other sources contradict.
    """
    for words in (
        "61 %",
        "37 % at 12 hours a day",
        "23 % at 60 hours a week",
        "62:588-597",
        "10 working days of six 8-hour days",
        "follow local codes and licensed practice",
    ):
        assert words in OVERTIME
