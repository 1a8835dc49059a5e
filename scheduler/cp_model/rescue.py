"""A plan where the search has none: the decoder failed, so the model is asked.

The decoder takes boat after boat and goes back only inside one; where little time or
many locks leave few ways, each order of boats may end without a plan although there is
one. The constraint model looks at all boats together and either finds a plan or
proves that there is none.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

from models.errors import NoPlan
from scheduler.bounds import alone_bound
from scheduler.cp_model.model import solve
from scheduler.cp_model.tighten import (
    Effort,
    Tightened,
    decoded_near,
    is_small,
    level_of,
    tighten,
)
from scheduler.decoding.failure import explain_failure
from scheduler.naming.names import name_people
from scheduler.naming.roster import build_roster
from scheduler.naming.settle import Settled

if TYPE_CHECKING:
    from scheduler.compiling.compile import Compilation
    from scheduler.solution import Solution

METHOD = "constraint model, as the search found no plan"
PROVEN = " (the constraint model proves that there is none)"
FIRST_SHARE = 0.5  # of the effort, for a first plan; the rest improves it


def rescue(
    compilation: Compilation, effort: Effort, should_stop: Callable[[], bool]
) -> Tightened:
    """Ask the constraint model for a plan, without one to begin from.

    Raises
    ------
    NoPlan
        If there is none, the book is too large, or time or names ran out.
    """
    if not is_small(compilation.arrays) or effort.seconds <= 0:
        raise NoPlan(explain_failure(compilation))
    began = time.monotonic()
    first = _share(effort, FIRST_SHARE)
    result = solve(
        compilation,
        hint=None,
        seconds=first.seconds,
        workers=first.workers,
        seed=first.seed,
        deterministic_limit=first.deterministic,
        level=level_of(compilation.arrays),
        should_stop=should_stop,
    )
    if result.solution is None:
        proven = PROVEN if result.status == "infeasible" else ""
        raise NoPlan(explain_failure(compilation) + proven)
    settled = _named(compilation, result.solution, effort.seed)
    if settled is None:
        raise NoPlan(explain_failure(compilation))
    bound = max(alone_bound(compilation.arrays), result.bound or 0)
    left = replace(
        _share(effort, 1 - FIRST_SHARE),
        seconds=effort.seconds - (time.monotonic() - began),
    )
    return replace(
        tighten(compilation, settled, bound, left, should_stop), method=METHOD
    )


def _share(effort: Effort, share: float) -> Effort:
    work = effort.deterministic
    return replace(
        effort,
        seconds=effort.seconds * share,
        deterministic=None if work is None else work * share,
    )


def _named(compilation: Compilation, plan: Solution, seed: int) -> Settled | None:
    """The plan with people; a decoded one near it where they cannot be named."""
    naming = name_people(compilation, build_roster(compilation), plan)
    if not naming.clashes:
        return Settled(plan, naming, 0)
    return decoded_near(compilation, plan, seed)
