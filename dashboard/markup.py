"""Attributes whose names are no Python names."""

from __future__ import annotations

from typing import Any


def aria(**given: str) -> dict[str, Any]:
    """Attributes for screen readers: `aria(label="Sheets")`."""
    return {f"aria-{name}": value for name, value in given.items()}


def data(**given: str) -> dict[str, Any]:
    """Attributes that the browser's part of the board reads."""
    return {f"data-{name}": value for name, value in given.items()}
