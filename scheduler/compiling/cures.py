"""Ends of cures that a cold shop lengthens, as tables that compiled loops read."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from scheduler.curing import Curing, family_of

if TYPE_CHECKING:
    from scheduler.problem import Problem


def compile_cures(problem: Problem) -> dict[str, Any]:
    """Which waits are such cures, and a row for each family of them."""
    families = [family_of(one, problem.axis.tick_minutes) for one in problem.waits]
    known = sorted({one for one in families if one is not None})
    row_of = {one: row for row, one in enumerate(known)}
    curing = Curing(problem)
    rows = (len(known), problem.axis.ticks + 1)
    return {
        "wait_cure": np.array(
            [-1 if one is None else row_of[one] for one in families], np.int32
        ),
        "cure_end": np.array([curing.ends(one) for one in known], np.int32).reshape(
            rows
        ),
        "cure_begin": np.array([curing.begins(one) for one in known], np.int32).reshape(
            rows
        ),
    }
