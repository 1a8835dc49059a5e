"""What the decoder must look at for an operation, as bits: most need little."""

from __future__ import annotations

from typing import Any

import numpy as np

from scheduler.compiling.arrays import (
    BEGINNING,
    CLASHING,
    ENDING,
    INSTANT,
    NARROW,
    ROOMY,
    SIZED,
    SPECIAL,
    UNBROKEN,
)


def find_traits(arrays: dict[str, Any], by_waits: dict[int, np.ndarray]) -> np.ndarray:
    """Traits of each operation, from the arrays that say so at length, and by waits."""
    special = (arrays["setup_row"] >= 0) | (arrays["opening_row"] >= 0)
    found = {
        **by_waits,
        CLASHING: np.diff(arrays["clash_at"]) > 0,
        ROOMY: np.diff(arrays["demand_at"]) > 0,
        BEGINNING: np.diff(arrays["begin_at"]) > 0,
        ENDING: np.diff(arrays["end_at"]) > 0,
        SPECIAL: special,
        INSTANT: arrays["length"][arrays["length_at"][:-1]] == 0,
        UNBROKEN: arrays["one_go"] == 1,
        NARROW: _narrow(arrays),
        SIZED: arrays["fixed_crew"] > 0,
    }
    traits = sum(bit * mask.astype(np.int32) for bit, mask in found.items())
    return np.asarray(traits, np.int32)


def _narrow(arrays: dict[str, Any]) -> np.ndarray:
    """Operations whose crews are counted in one word, all of them alike."""
    skill, crewed = arrays["skill"], arrays["skill"] >= 0
    words = arrays["word_to"] - arrays["word_from"]
    out = crewed & (arrays["leads"] == 0) & (not arrays["some_rest"])
    out[crewed] &= words[skill[crewed]] == 1
    return np.asarray(out, np.bool_)
