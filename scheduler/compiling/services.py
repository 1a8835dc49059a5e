"""Mold service as tables that compiled loops read."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from scheduler.servicing import service_ends, service_ticks

if TYPE_CHECKING:
    from scheduler.problem import Problem


def compile_services(problem: Problem, slot_resource: np.ndarray) -> dict[str, Any]:
    """Which slots need service after how many pulls, and when services end.

    Molds come first among the resources, so that a slot's resource is its mold.
    """
    tick, width = problem.axis.tick_minutes, problem.axis.ticks + 1
    keys = [
        (one.service_calendar, service_ticks(one, tick))
        if one.service_every is not None
        else None
        for one in problem.molds
    ]
    rows: dict[tuple[str | None, int], np.ndarray] = {}
    for mold, key in zip(problem.molds, keys, strict=True):
        if key is not None and key not in rows:
            rows[key] = service_ends(problem, mold)
    row_of = {key: row for row, key in enumerate(rows)}
    count = len(slot_resource)
    every, pulls, row = (np.zeros(count, np.int32) for _ in range(3))
    for slot, resource in enumerate(slot_resource.tolist()):
        if resource < len(keys) and (key := keys[resource]) is not None:
            mold = problem.molds[resource]
            every[slot], pulls[slot] = mold.service_every or 0, mold.pulls
            row[slot] = row_of[key]
    ends = np.array(list(rows.values()), np.int32).reshape(len(rows), width)
    ticks = np.arange(width)
    begins = [np.searchsorted(one, ticks, side="right") - 1 for one in ends]
    return {
        "slot_every": every,
        "slot_pulls": pulls,
        "slot_service": row,
        "service_end": ends,
        "service_begin": np.array(begins, np.int32).reshape(len(rows), width),
    }
