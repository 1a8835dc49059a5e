"""Standards that a yard took over from its own actual hours."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class StepStandard:
    """What the hours of one step of a model are multiplied by, and from how many boats.

    It applies to all labor of the step, options included; never to rework.
    """

    operation: str
    factor: float
    boats: int

    @property
    def text(self) -> str:
        """The line of a derivation."""
        noun = "boat" if self.boats == 1 else "boats"
        return f"Standard re-estimated x {self.factor:g} from {self.boats} {noun}"
