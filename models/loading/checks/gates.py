"""Checks of gates: an inspection must hold something back."""

from __future__ import annotations

from models.loading.checks.scope import BoatScope


def check_gates(boat: BoatScope) -> None:
    """Check that something waits for the end of each step with a gate."""
    if not boat.whole("operations", "waits"):
        return
    awaited = {wait.before for wait in boat.model.waits if wait.before_of == "end"}
    for step in boat.model.operations:
        if step.gate is not None and step.code not in awaited:
            expected = "a gate on a step for whose end another one waits"
            boat.fault(f"operations.{step.code}.gate", f"'{step.gate}'", expected)
