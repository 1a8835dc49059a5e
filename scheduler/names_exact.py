"""Naming one stretch of time exactly, where manning in order of time failed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ortools.sat.python import cp_model

if TYPE_CHECKING:
    from scheduler.compiled import I32
    from scheduler.names import Blocks

SECONDS = 10.0


def name_exactly(
    blocks: Blocks, cluster: range, people: list[list[int]], last_block: I32
) -> dict[int, list[int]] | None:
    """Man every block of a stretch, or prove that it cannot be done (None).

    Nobody is on two blocks at once, given people are kept, and as many as possible
    stay on the operation they were on. A solver that neither finds nor refutes within
    its limit counts as a refusal: the operations are then decoded apart.
    """
    model = cp_model.CpModel()
    on: dict[tuple[int, int], cp_model.IntVar] = {}
    for block in cluster:
        able = [int(person) for person in blocks.fits[block].nonzero()[0]]
        for person in able:
            on[block, person] = model.new_bool_var("")
        model.add(sum(on[block, person] for person in able) == int(blocks.crew[block]))
        for person in blocks.given.get(block, ()):
            if person not in able:
                return None
            model.add(on[block, person] == 1)
    for block in cluster:
        at = blocks.start[block]
        active = [
            one for one in cluster if blocks.start[one] <= at < blocks.finish[one]
        ]
        for person in range(blocks.fits.shape[1]):
            here = [on[one, person] for one in active if (one, person) in on]
            if len(here) > 1:
                model.add_at_most_one(here)
    model.maximize(sum(_kept(model, on, cluster, people, last_block)))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_deterministic_time = SECONDS
    if solver.solve(model) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    named: dict[int, list[int]] = {block: [] for block in cluster}
    for (block, person), chosen in on.items():
        if solver.boolean_value(chosen):
            named[block].append(person)
    return named


def _kept(
    model: cp_model.CpModel,
    on: dict[tuple[int, int], cp_model.IntVar],
    cluster: range,
    people: list[list[int]],
    last_block: I32,
) -> list[cp_model.IntVar]:
    """One term for each person who stays on an operation from block to block."""
    terms = []
    for block in cluster:
        before = int(last_block[block])
        if before < 0:
            continue
        if before not in cluster:
            terms += [on[block, p] for p in people[before] if (block, p) in on]
            continue
        for (other, person), now in on.items():
            if other == block and (before, person) in on:
                both = model.new_bool_var("")
                model.add_implication(both, now)
                model.add_implication(both, on[before, person])
                terms.append(both)
    return terms
