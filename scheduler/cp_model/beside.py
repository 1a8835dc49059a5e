"""Plan the boats of a clash anew, all others where they are.

A plan whose people cannot be named mostly needs little change. A model of the boats
concerned is far smaller than one of all, and any plan as good will do.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from scheduler.cp_model.growing import FOUND
from scheduler.cp_model.model import add_cuts, ask, build_model
from scheduler.cp_model.which_boats import WORST
from scheduler.cp_model.windows import NoWay

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    from numpy.typing import NDArray

    from scheduler.compiling.compile import Compilation
    from scheduler.cp_model.conflict import Cut
    from scheduler.cp_model.model import Limits
    from scheduler.cp_model.setting import Shared
    from scheduler.solution import Solution


def plan_beside(
    compilation: Compilation,
    plan: Solution,
    cuts: Sequence[Cut],
    limits: Limits,
    known: Sequence[Cut] = (),
    shared: Shared | None = None,
) -> tuple[Solution | None, float]:
    """A plan with no more late days that keeps some cuts, and the solver's units.

    Only boats with an operation in a cut move, and services of molds. That there is no
    such plan says nothing about plans in which others move, too. Further cuts that are
    `known` are kept as well. What is `shared` spares looking it up again.
    """
    a = compilation.arrays
    boats = {int(a.boat_of[term.op]) for cut in cuts for term in cut}
    boats |= set(range(a.boats, len(a.boat_due)))
    hint = replace(plan, values=WORST)
    try:
        model = build_model(
            compilation, hint=hint, free_boats=sorted(boats), shared=shared
        )
    except NoWay:
        return None, 0.0
    standing = ~model.setting.is_free
    binding = [one for one in (*cuts, *known) if _may_hold(plan, standing, one)]
    add_cuts(model, binding)
    model.draft.model.clear_objective()  # type: ignore[no-untyped-call]
    result = ask(model, replace(limits, race=True))
    found = result.solution if result.status in FOUND else None
    return found, result.deterministic


def _may_hold(plan: Solution, standing: NDArray[np.bool_], cut: Cut) -> bool:
    """Whether all terms of a cut hold whose operations stand."""
    return all(
        plan.length[term.op] == term.length
        and term.first <= plan.index[term.op] <= term.last
        for term in cut
        if standing[term.op]
    )
