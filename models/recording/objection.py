"""Why entries cannot hold."""

from __future__ import annotations

from dataclasses import dataclass

from models.recording.entries import FloorEntry


@dataclass(frozen=True, slots=True)
class Objection:
    """The entry at which it shows, its column, what was found and what was expected."""

    entry: FloorEntry
    column: str
    found: str
    expected: str
