"""Changes of color at a station, as tables that compiled loops read."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from scheduler.compiling.arrays import FREE

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from scheduler.problem import Problem


def compile_setups(
    problem: Problem, binding: NDArray[np.int8], lengths: Sequence[Sequence[int]]
) -> tuple[dict[str, Any], NDArray[np.int32]]:
    """Which operations need set-ups among each other, and each one's earliest start.

    Families are numbered station by station. The first operation from now on comes
    after the set-up from the family that the station was last used for. What takes no
    time changes no color.
    """
    tick = problem.axis.tick_minutes
    stations = [one for one in problem.stations if one.setups]
    row_of = {one.id: row for row, one in enumerate(stations)}
    families: dict[tuple[str, str], int] = {}
    for station in stations:
        for setup in station.setups:
            for name in (setup.before, setup.after):
                families.setdefault((station.id, name), len(families))
    ticks = np.zeros((len(families), len(families)), np.int32)
    for station in stations:
        for setup in station.setups:
            pair = families[station.id, setup.before], families[station.id, setup.after]
            ticks[pair] = -(-setup.minutes // tick)
    earliest = np.array([one.earliest for one in problem.operations], np.int32)
    rows = np.full(len(earliest), -1, np.int32)
    family = np.zeros(len(earliest), np.int32)
    members: list[list[int]] = [[] for _ in stations]
    last = {one.id: one.last_family for one in stations}
    for op, one in enumerate(problem.operations):
        own = families.get((one.station, one.setup_family or ""))
        if own is None or max(lengths[op]) == 0:
            continue
        rows[op], family[op] = row_of[one.station], own
        members[rows[op]].append(op)
        before = families.get((one.station, last[one.station] or ""))
        if before is not None and binding[op] == FREE:
            earliest[op] = max(earliest[op], problem.now + ticks[before, own])
    sizes = [len(own) for own in members]
    return {
        "setup_row": rows,
        "setup_family": family,
        "setup_ticks": ticks,
        "setup_at": np.concatenate([[0], np.cumsum(sizes)]).astype(np.int32),
        "setup_list": np.array([op for own in members for op in own], np.int32),
    }, earliest
