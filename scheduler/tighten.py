"""Where the constraint-programming model improves or proves what the search found."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

    from scheduler.compile import Compilation
    from scheduler.search import Budget
    from scheduler.settle import Settled


def tighten(
    compilation: Compilation,
    settled: Settled,
    bound: int,
    budget: Budget,
    seed: int,
    should_stop: Callable[[], bool],
) -> tuple[Settled, int, str]:
    """Draft: filled in once the model is there."""
    return settled, bound, "search"
