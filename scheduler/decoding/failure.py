"""Why no plan came out: the boats that cannot be placed even with nobody else there."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from scheduler.bounds import earliest_state
from scheduler.compiling.arrays import DONE, PINNED, STARTED
from scheduler.decoding.boat import place_boat
from scheduler.decoding.decoder import copy_state, facts_state, new_state, open_boats
from scheduler.decoding.placing import Choices
from scheduler.decoding.stretches import close_stretches
from scheduler.decoding.waits import wait_earliest, wait_latest

if TYPE_CHECKING:
    from collections.abc import Iterator

    from scheduler.compiling.compile import Compilation
    from scheduler.problem import Wait


CLASH = (
    "no plan: what is done, begun, frozen or locked contradicts the calendars "
    "or takes one mold or place twice; `hullpace check` on the committed plan "
    "lists where"
)

RUN_OUT = (
    "if such a step was begun in time, record it, and the end of the one before; if "
    "not, the bond is no longer sure: "
    "follow the data sheet, and plan what it asks for as rework"
)
UNPIN = "pin it later in locks.csv or not at all, or record what has been done"
BEGUN = ", which is begun"
SHOWN = 3  # causes that one line names


def explain_failure(compilation: Compilation) -> str:
    """Name what stands in the way, as one clear line."""
    a = compilation.arrays
    facts, sound = facts_state(a)
    if not sound:
        return CLASH
    for told, advice in (
        (early_pins(compilation), UNPIN),
        (missed_windows(compilation), RUN_OUT),
    ):
        if told:
            more = f" ({len(told) - SHOWN} more)" if len(told) > SHOWN else ""
            return f"no plan: {'; '.join(told[:SHOWN])}{more}; {advice}"
    state = new_state(a)
    crew = np.zeros(len(a.boat_of), np.int8)
    delay = np.zeros(len(a.boat_of), np.int32)
    stuck = []
    for boat in open_boats(a):
        copy_state(facts, state, 0)
        choices = Choices(np.array([boat], np.int32), crew, delay)
        close_stretches(a, state, choices)
        if not place_boat(a, state, choices, int(boat)):
            stuck.append(compilation.orders[boat])
    last = compilation.problem.axis.local(a.ticks - 1).date().isoformat()
    if stuck:
        return (
            f"no plan: {', '.join(stuck)} cannot be built by {last} even alone with "
            "what is begun or pinned; look for a skill, mold or place that is never "
            "free long enough"
        )
    return (
        f"no plan: each boat fits alone, but not all of them together by {last}; "
        "look for locks that contradict each other or too many boats for the horizon"
    )


def _waits_alone(compilation: Compilation) -> Iterator[tuple[Wait, int, int]]:
    """Each wait with when it begins and ends if its boat has the yard for itself."""
    a = compilation.arrays
    state, _ = earliest_state(a)
    for row, wait in enumerate(compilation.problem.waits):
        before, after = a.wait_before[row], a.wait_after[row]
        since = state.finish[before] if a.wait_before_end[row] else state.start[before]
        until = state.finish[after] if a.wait_after_end[row] else state.start[after]
        yield wait, int(since), int(until)


def early_pins(compilation: Compilation) -> list[str]:
    """Say which pinned work comes before what it waits for can be over.

    Even if its boat had the yard for itself.
    """
    a, axis = compilation.arrays, compilation.problem.axis
    told = []
    for row, (wait, since, until) in enumerate(_waits_alone(compilation)):
        before, after = a.wait_before[row], a.wait_after[row]
        if a.binding[after] != PINNED or a.binding[before] in (DONE, PINNED):
            continue
        earliest = wait_earliest(a, row, since)
        if earliest > until:
            told.append(
                f"{wait.after} is pinned so as to {_VERBS[wait.after_of]} at "
                f"{axis.local(until):%Y-%m-%d %H:%M}, and {wait.before} lets it only "
                f"at {axis.local(min(earliest, a.ticks - 1)):%Y-%m-%d %H:%M}"
            )
    return told


def missed_windows(compilation: Compilation) -> list[str]:
    """Say which maximum waits have run out since work that was done or is pinned.

    The later step cannot come in time even if its boat had the yard for itself. After
    begun work that is not finished, a wait counts from the first end that it can have.
    """
    a, axis = compilation.arrays, compilation.problem.axis
    told = []
    for row, (wait, since, until) in enumerate(_waits_alone(compilation)):
        before, after = a.wait_before[row], a.wait_after[row]
        begun = a.binding[after] == STARTED and not a.wait_after_end[row]
        counted = a.binding[before] in (DONE, PINNED, STARTED)
        open_end = a.binding[before] == STARTED and a.wait_before_end[row]
        most = wait.kept_maximum_minutes
        if most is None or not counted or begun:
            continue
        if a.binding[after] in (DONE, PINNED):
            continue
        latest = wait_latest(a, row, since)
        if until > latest:
            told.append(
                f"{wait.after} has to {_VERBS[wait.after_of]} by "
                f"{axis.local(latest):%Y-%m-%d %H:%M}, at most "
                f"{most / 60:g} h after the {wait.before_of} of "
                f"{wait.before}{BEGUN if open_end else ''}, and cannot before "
                f"{axis.local(until):%Y-%m-%d %H:%M}"
            )
    return told


_VERBS = {"start": "begin", "end": "be finished"}
