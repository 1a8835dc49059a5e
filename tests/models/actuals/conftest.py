"""Entries of the little yard's second boat."""

from __future__ import annotations

from typing import Any

from models.actuals.past import Past, past_of
from models.recording.entries import FloorEntry
from tests.models.recording.conftest import little_book, said

PREP = ("B-2", "hull.prep")
PREP_HOURS = 14 * 0.2 * 1.15  # as the routing of the little yard says
DETAIL = ("B-2", "final.detail")
DETAIL_HOURS = 14 * 0.4


def little_past() -> Past:
    """The little yard, whose boats are all still in the book."""
    return past_of(little_book(), [], [])


def did(
    step: tuple[str, str], day: int, hours: float | None, **more: Any
) -> list[FloorEntry]:
    """A step that was begun and finished on a day of March 2027."""
    return [
        said(*step, "start", f"{day} 06:00"),
        said(*step, "finish", f"{day} 14:00", hours=hours, **more),
    ]
