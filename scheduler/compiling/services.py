"""Mold service as tables that compiled loops read."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING, Any

import numpy as np

from scheduler.servicing import NEVER, has_crew, service_ends, service_ticks

if TYPE_CHECKING:
    from collections.abc import Mapping

    from scheduler.problem import Mold, Problem

_Key = tuple[str | None, int]
BY_PEOPLE: _Key = (None, 0)
"""Row of the molds that people service: no gap serves them, only placed work."""


def compile_services(
    problem: Problem, slot_resource: np.ndarray, mold_of: Mapping[str, str]
) -> dict[str, Any]:
    """Which slots need service after how many pulls, and when services end.

    Molds come first among the resources, so that a slot's resource is its mold.
    `mold_of` says which mold an order is a service of.
    """
    width = problem.axis.ticks + 1
    keys = [_key(one, problem.axis.tick_minutes) for one in problem.molds]
    rows: dict[_Key, np.ndarray] = {}
    for mold, key in zip(problem.molds, keys, strict=True):
        if key is not None and key not in rows:
            never = np.full(width, NEVER, np.int32)
            rows[key] = never if has_crew(mold) else service_ends(problem, mold)
    row_of = {key: row for row, key in enumerate(rows)}
    boats_of: dict[str, list[int]] = defaultdict(list)
    for boat, order in enumerate(problem.orders):
        if order.order in mold_of:
            boats_of[mold_of[order.order]].append(boat)
    count = len(slot_resource)
    every, pulls, row = (np.zeros(count, np.int32) for _ in range(3))
    services: list[list[int]] = [[] for _ in range(count)]
    for slot, resource in enumerate(slot_resource.tolist()):
        if resource < len(keys) and (key := keys[resource]) is not None:
            mold = problem.molds[resource]
            every[slot], pulls[slot] = mold.service_every or 0, mold.pulls
            row[slot] = row_of[key]
            services[slot] = boats_of[mold.id]
    ends = np.array(list(rows.values()), np.int32).reshape(len(rows), width)
    ticks = np.arange(width)
    begins = [np.searchsorted(one, ticks, side="right") - 1 for one in ends]
    listed = np.cumsum([0, *(len(one) for one in services)])
    return {
        "slot_every": every,
        "slot_pulls": pulls,
        "slot_service": row,
        "service_end": ends,
        "service_begin": np.array(begins, np.int32).reshape(len(rows), width),
        "service_at": listed.astype(np.int32),
        "service_list": np.array([b for one in services for b in one], np.int32),
    }


def _key(mold: Mold, tick_minutes: int) -> _Key | None:
    """What tells one row of ends from another; None where there is no service."""
    if mold.service_every is None:
        return None
    if has_crew(mold):
        return BY_PEOPLE
    return mold.service_calendar, service_ticks(mold, tick_minutes)
