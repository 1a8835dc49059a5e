"""What the decoder must look at for an operation, as bits: most need little."""

from __future__ import annotations

from typing import Any

import numpy as np

from scheduler.compiling.arrays import (
    AGAIN,
    BEGINNING,
    CLASHING,
    ENDING,
    MISSABLE,
    ROOMY,
    SPECIAL,
)


def find_traits(
    arrays: dict[str, Any], missable: np.ndarray, again: np.ndarray
) -> np.ndarray:
    """Traits of each operation, from the arrays that say so at length."""
    special = (arrays["setup_row"] >= 0) | (arrays["opening_row"] >= 0)
    found = {
        MISSABLE: missable,
        AGAIN: again,
        CLASHING: np.diff(arrays["clash_at"]) > 0,
        ROOMY: np.diff(arrays["demand_at"]) > 0,
        BEGINNING: np.diff(arrays["begin_at"]) > 0,
        ENDING: np.diff(arrays["end_at"]) > 0,
        SPECIAL: special,
    }
    traits = sum(bit * mask.astype(np.int8) for bit, mask in found.items())
    return np.asarray(traits, np.int8)
