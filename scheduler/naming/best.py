"""The best plan of a search for which everybody can be named."""

from __future__ import annotations

from typing import TYPE_CHECKING

from models.errors import NoPlan
from scheduler.decoding.failure import explain_failure
from scheduler.naming.settle import Settled, settle, settle_plan
from scheduler.searching.search import facts_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from scheduler.compiling.compile import Compilation
    from scheduler.searching.improve import Improved
    from scheduler.searching.search import Found


def best_named(
    compilation: Compilation, found: Found, improved: Sequence[Improved] = ()
) -> Settled:
    """The best plan for which everybody can be named.

    Raises
    ------
    NoPlan
        If there is none.
    """
    facts = facts_of(compilation.arrays)
    best: Settled | None = None
    for one in improved:
        if best is None or one.values < best.solution.values:
            best = settle_plan(compilation, one.plan, one.choices) or best
    for choices, values in zip(found.choices, found.values, strict=True):
        if best is not None and values >= best.solution.values:
            break
        settled = settle(compilation, facts, choices)
        if settled is not None and (
            best is None or settled.solution.values < best.solution.values
        ):
            best = settled
    if best is None:
        raise NoPlan(explain_failure(compilation))
    return best
