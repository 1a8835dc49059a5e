"""How the solver is set for models of this kind."""

from __future__ import annotations

from typing import Any

from scheduler.cp_model.goals import MAKESPAN, TARDINESS, WORK_IN_PROCESS

REPAIRING = ("fj", "ls", "ls_lin")  # the solver's names of its heuristics of repair
BY_CHANCE = 0.02  # of all branches, in solves that are to go ways of their own

DECODES_A_UNIT = {TARDINESS: 12_500.0, MAKESPAN: 2_500.0}
"""Decodes of a work budget that make one unit of the solver's deterministic time, by
what is minimized: a unit of a model that is searched as it is written lasts longer."""


def tune(
    parameters: Any, workers: int, level: int, *, whole: bool, way: int = 0
) -> None:
    """Set the solver to what was measured to be best on books of this kind.

    Probing costs more here than it prunes, and so do linear relaxations but for work
    in process, which is a sum of all stays. Trying the lower bound first closes most
    small books; beside it, with two workers, the other one improves what is known.
    `whole` says whether all boats are to be planned.

    Solves of one model that are to differ have a `way` each. A seed alone does nothing:
    without chance in its branching the solver goes through the same tree with any. The
    second way weighs conflicts otherwise, which is often the luckier one; from the
    third on, chance takes part.
    """
    parameters.num_workers = workers
    parameters.cp_model_probing_level = 0
    parameters.symmetry_level = 0
    parameters.inprocessing_dtime_ratio = 0.0
    if level == WORK_IN_PROCESS:
        return
    parameters.linearization_level = 0
    if level == TARDINESS:
        _leave_as_written(parameters)
    parameters.use_erwa_heuristic = way % 2 == 1
    if way > 1:
        parameters.random_branches_ratio = BY_CHANCE
    if workers > 1:
        parameters.subsolvers.append("objective_lb_search_no_lp")
    elif whole:
        parameters.use_objective_lb_search = True


def _leave_as_written(parameters: Any) -> None:
    """Let the solver search the model much as it is written.

    Start lists are pruned before they come here. The solver's own rounds of presolve
    drop little more, and give every start of many operations a literal: some 190,000
    of them where one boat is planned around twenty take ten times the search itself,
    and so does shortening clauses before it. Heuristics that only repair violations
    find no plan in such lists, and cannot read a model without those rounds: they
    crash (release 9.15).
    """
    parameters.max_presolve_iterations = 0
    parameters.inprocessing_probing_dtime = 0.0
    parameters.inprocessing_minimization_dtime = 0.0
    parameters.ignore_subsolvers.extend(REPAIRING)
