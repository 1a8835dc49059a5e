"""Checks of re-preparations: steps that a boat has only where a window was missed."""

from __future__ import annotations

from collections import Counter

from models.loading.checks.scope import BoatScope
from models.loading.faults import quoted


def check_reprep(boat: BoatScope) -> None:
    """Check that each re-preparation is a step that a boat can do without."""
    if not boat.whole("operations", "waits", "parts"):
        return
    model = boat.model
    steps = {one.code: one for one in model.operations}
    ends = {
        code
        for part in model.parts
        for code in (part.mold_from, part.mold_to, part.place_from, part.place_to)
    }
    named = Counter(wait.reprep for wait in model.waits)
    for wait in model.waits:
        if wait.reprep is None:
            continue
        where = f"waits.{wait.before} to {wait.after}.reprep"
        if not boat.refer(where, wait.reprep, steps, "an operation"):
            continue
        step = steps[wait.reprep]
        found = quoted(step.code)
        if step.when is not None or step.unless is not None:
            boat.fault(where, found, "a step without when and unless")
        if step.code in ends:
            expected = "a step with which no part enters or leaves a mold or place"
            boat.fault(where, found, expected)
        if named[step.code] > 1:
            boat.fault(where, f"{found} on several waits", "a step of one wait")
        if step.caution is None:
            expected = "a step with a caution (grinding, for one)"
            boat.fault(where, f"{found} without one", expected)
