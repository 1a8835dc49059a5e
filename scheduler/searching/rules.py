"""Dispatch rules: orders of boats from which a search starts, and baselines."""

from __future__ import annotations

import numpy as np

from scheduler.compiling.arrays import FAR, I32, Arrays
from scheduler.decoding.decoder import day_ends, open_boats
from scheduler.searching.alone import Alone


def due_tick(a: Arrays) -> np.ndarray:
    """End of open time on each boat's due day, in ticks; FAR where there is none."""
    ends = day_ends(a)
    due = np.full(len(a.boat_due), int(FAR), np.int64)
    for boat, day in enumerate(a.boat_due):
        if day < FAR:
            due[boat] = ends[day] if day >= 0 else 0
    return due


def rule_orders(a: Arrays, alone: Alone) -> dict[str, I32]:
    """Orders of the open boats by rule; earliest due date is called `due`.

    `slack` sorts by due date less the time that the yard spends on a boat alone,
    `latest start` by when that would begin if only the boat's own finish counted,
    `weighted` favors heavy boats, `cost k` is the apparent tardiness cost at the start
    of the plan with look-ahead k, `first finished` takes the boats that are soonest
    ready alone. Boats that hold a mold or place today lead every order.
    """
    boats = open_boats(a)
    if len(boats) == 0:  # everything is committed
        return {"due": boats}
    due = due_tick(a)[boats].astype(float)
    work = np.array([total_ticks(a, boat) for boat in boats], float)
    flow = alone.flow(boats).astype(float)
    weight = a.boat_weight[boats].astype(float)
    keys = {
        "due": due,
        "slack": due - flow,
        "latest start": alone.first[boats].astype(float),
        "weighted": due / np.maximum(weight, 1),
        "first finished": alone.finish[boats].astype(float),
    }
    slack = np.clip(due - flow - a.now, 0, None)
    value = np.log(np.maximum(weight, 1) / np.maximum(work, 1))
    for look_ahead in (0.5, 1.0, 2.0, 4.0, 8.0):
        scale = look_ahead * max(1.0, float(np.mean(flow)))
        keys[f"cost {look_ahead:g}"] = slack / scale - value
    later = np.arange(len(boats)) >= a.leading
    return {
        name: boats[np.lexsort((boats, key, later))].astype(np.int32)
        for name, key in keys.items()
    }


def total_ticks(a: Arrays, boat: int) -> int:
    """Crew-ticks of work left on a boat at the smallest crews."""
    total = 0
    for op in range(a.boat_at[boat], a.boat_at[boat + 1]):
        if a.skill[op] >= 0 and a.binding[op] != 1:
            total += int(a.length[a.length_at[op]]) * int(a.crew_min[op])
    return total
