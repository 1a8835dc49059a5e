"""How many schedules were made, and how many more may be."""

from __future__ import annotations

import time
from dataclasses import dataclass

from scheduler.classical.sampling import NEVER
from scheduler.searching.search import Budget


@dataclass
class Count:
    """What has been spent of a budget."""

    budget: Budget
    began: float
    done: int = 0

    @property
    def left(self) -> int:
        """How many schedules may still be made."""
        if self.budget.work is not None:
            return self.budget.work - self.done
        spent = time.monotonic() - self.began
        if self.done and spent >= (self.budget.seconds or 0.0):
            return 0
        return NEVER
