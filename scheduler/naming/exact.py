"""Naming one stretch of time exactly, where manning in order of time failed.

People who have the same skills and are there at the same times are one *kind*. How
many of each kind go to each block is a small integer program. Within a kind anyone
free will do: the blocks are intervals, so as many people as the busiest moment asks
for are enough, and the integer program sees to that.
"""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

    from scheduler.compiling.arrays import I32
    from scheduler.naming.roster import Blocks

SECONDS = 2.0  # deterministic, per stretch


def name_exactly(
    blocks: Blocks, cluster: range, people: I32, last_block: I32
) -> dict[int, list[int]] | None:
    """Man every block of a stretch, or prove that it cannot be done (None).

    Nobody is on two blocks at once, given people are kept, and as many as possible of
    a kind stay on the operation they were on. A solver that neither finds nor refutes
    within its limit counts as a refusal: the operations are then decoded apart.
    """
    from ortools.sat.python import cp_model

    kinds = _kinds(blocks, cluster)
    model = cp_model.CpModel()
    sent: dict[tuple[int, int], cp_model.IntVar] = {}
    for block in cluster:
        crew = int(blocks.crew[block])
        for kind, members in enumerate(kinds):
            if blocks.fits[block, members[0]]:
                sent[block, kind] = model.new_int_var(0, min(crew, len(members)), "")
        model.add(sum(v for (one, _), v in sent.items() if one == block) == crew)
        for person in blocks.given.get(block, ()):
            kind = next(k for k, members in enumerate(kinds) if person in members)
            if (block, kind) not in sent:
                return None
            model.add(sent[block, kind] == 1)
    for block in cluster:
        at = blocks.start[block]
        active = [
            one for one in cluster if blocks.start[one] <= at < blocks.finish[one]
        ]
        for kind, members in enumerate(kinds):
            here = [sent[one, kind] for one in active if (one, kind) in sent]
            if here:
                model.add(sum(here) <= len(members))
    model.maximize(sum(_kept(model, sent, cluster, people, kinds, last_block)))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_deterministic_time = SECONDS
    if solver.solve(model) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    counts = {key: solver.value(variable) for key, variable in sent.items()}
    return _hand_out(blocks, cluster, people, kinds, counts, last_block)


def _kinds(blocks: Blocks, cluster: range) -> list[list[int]]:
    """People who fit the same blocks of the stretch; anyone given stands alone."""
    given = {person for block in cluster for person in blocks.given.get(block, ())}
    groups: dict[tuple[int, bytes], list[int]] = defaultdict(list)
    rows = blocks.fits[cluster.start : cluster.stop]
    for person in range(rows.shape[1]):
        column = rows[:, person]
        if column.any():
            alone = person + 1 if person in given else 0
            groups[alone, column.tobytes()].append(person)
    return list(groups.values())


def _kept(
    model: cp_model.CpModel,
    sent: dict[tuple[int, int], cp_model.IntVar],
    cluster: range,
    people: I32,
    kinds: list[list[int]],
    last_block: I32,
) -> list[cp_model.IntVar]:
    """One term a kind and block: how many of it were on the operation before."""
    terms = []
    for (block, kind), now in sent.items():
        before = int(last_block[block])
        if before < 0:
            continue
        stay = model.new_int_var(0, len(kinds[kind]), "")
        model.add(stay <= now)
        if before in cluster:
            if (before, kind) not in sent:
                continue
            model.add(stay <= sent[before, kind])
        else:
            model.add(stay <= int(np.isin(people[before], kinds[kind]).sum()))
        terms.append(stay)
    return terms


def _hand_out(
    blocks: Blocks,
    cluster: range,
    people: I32,
    kinds: list[list[int]],
    counts: dict[tuple[int, int], int],
    last_block: I32,
) -> dict[int, list[int]]:
    """Choose persons within each kind, those who were on the operation first."""
    named: dict[int, list[int]] = {block: [] for block in cluster}
    for kind, members in enumerate(kinds):
        free_from = dict.fromkeys(members, -1)
        for block in cluster:
            count = counts.get((block, kind), 0)
            start = int(blocks.start[block])
            before = int(last_block[block])
            known = named[before] if before in cluster else people[before].tolist()
            stayed = set(known) if before >= 0 else set()
            free = [one for one in members if free_from[one] <= start]
            free.sort(key=lambda one: (one not in stayed, one))
            for person in free[:count]:
                named[block].append(person)
                free_from[person] = int(blocks.finish[block])
    return named
