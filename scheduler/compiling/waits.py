"""Minimum and maximum waits as arrays, listed by the operations they lie between."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from scheduler.compiling.arrays import AGAIN, FREE, MISSABLE, PRECEDING

if TYPE_CHECKING:
    from scheduler.compiling.time_tables import Tracks
    from scheduler.problem import Problem


def compile_waits(
    problem: Problem,
    index_of: dict[str, int],
    tracks: Tracks,
    binding: np.ndarray,
    boat_of: np.ndarray,
) -> tuple[dict[str, Any], dict[int, np.ndarray]]:
    """Arrays of the waits, and masks of the operations with traits that follow.

    Where a maximum is missed, all from the earlier operation on is placed again. A
    successor stands before its predecessor only if facts say so, or in another boat.
    """
    waits, tick = problem.waits, problem.axis.tick_minutes
    before = np.array([index_of[one.before] for one in waits], np.int32)
    after = np.array([index_of[one.after] for one in waits], np.int32)
    maximums = [one.kept_maximum_minutes for one in waits]
    most = np.array([-1 if m is None else m // tick for m in maximums], np.int32)
    by_after = np.argsort(after, kind="stable").astype(np.int32)
    by_before = np.argsort(before, kind="stable").astype(np.int32)
    places = np.arange(len(index_of) + 1)
    missable = np.zeros(len(index_of), np.bool_)
    missable[after[most >= 0]] = True
    may_stand = (binding[after] != FREE) | (boat_of[before] != boat_of[after])
    preceding = np.zeros(len(index_of), np.bool_)
    preceding[before[may_stand]] = True
    again = np.zeros(len(index_of), np.bool_)
    for first, last in zip(before[most >= 0], after[most >= 0], strict=True):
        again[first : last + 1] = True
    arrays = {
        "wait_at": np.searchsorted(after[by_after], places).astype(np.int32),
        "wait_list": by_after,
        "successor_at": np.searchsorted(before[by_before], places).astype(np.int32),
        "successor_list": by_before,
        "wait_before": before,
        "wait_after": after,
        "wait_before_end": np.array([w.before_of == "end" for w in waits], np.int8),
        "wait_after_end": np.array([w.after_of == "end" for w in waits], np.int8),
        "wait_min": np.array([-(-w.min_minutes // tick) for w in waits], np.int32),
        "wait_max": most,
        "wait_track": np.array(
            [
                tracks.of_calendar[one.calendar]
                if one.clock == "work" and one.calendar
                else -1
                for one in waits
            ],
            np.int32,
        ),
    }
    return arrays, {
        MISSABLE: missable | preceding,
        AGAIN: again,
        PRECEDING: preceding,
    }


def plain_waits(waits: dict[str, Any], wait_cure: np.ndarray) -> dict[str, Any]:
    """Waits as `wait_list` has them, those of the common kind ready to be looked up.

    `plain_least` is how long one lasts that counts from an end to a start on the wall
    clock (or not at all), -1 for any other; `plain_after` is the earlier operation.
    """
    least, track = waits["wait_min"], waits["wait_track"]
    plain = (waits["wait_before_end"] == 1) & (waits["wait_after_end"] == 0)
    plain &= (wait_cure < 0) & ((track < 0) | (least == 0))
    return {
        "plain_least": np.where(plain, least, -1)[waits["wait_list"]].astype(np.int32),
        "plain_after": waits["wait_before"][waits["wait_list"]],
    }
