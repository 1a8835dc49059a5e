"""Sample yards: larger or smaller than a given one, in the same format."""

from __future__ import annotations

from models.sample.writing import write_sample

__all__ = ["write_sample"]
