"""Work that no routing foresees: done again after a gate, or taken off again.

It comes after the end of one step and before everything that waits for that end, with
the same waits: what a cure or a bond asks for after the step is asked for after its
rework too.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from models.boat import RoutingOperation, RoutingWait, WorkLine

if TYPE_CHECKING:
    from models.orders import Rework

_NUMBERED = re.compile(r"(?P<step>.+)\.rework(?P<number>[0-9]+)")


def rework_code(step: str) -> str:
    """The code of the rework that follows a step; of a rework, the next one's."""
    before = _NUMBERED.fullmatch(step)
    if before is None:
        return f"{step}.rework1"
    return f"{before['step']}.rework{int(before['number']) + 1}"


def reworked_step(code: str) -> tuple[str, int] | None:
    """The step that a rework does again, and which time; None for another code."""
    found = _NUMBERED.fullmatch(code)
    return None if found is None else (found["step"], int(found["number"]))


def insert_rework(
    steps: Sequence[RoutingOperation],
    waits: Sequence[RoutingWait],
    rework: Sequence[Rework],
) -> tuple[list[RoutingOperation], list[RoutingWait]]:
    """Put rework into a routing, in the order in which it was found to be needed.

    Rework of a step that this boat does not have is left out.
    """
    steps, waits = list(steps), list(waits)
    for one in rework:
        by_code = {step.code: step for step in steps}
        if not {one.after, one.like} <= by_code.keys():
            continue
        step = _step(one, by_code[one.like], by_code[one.after].gate)
        steps.insert(steps.index(by_code[one.after]) + 1, step)
        waits = [_moved(wait, one) for wait in waits]
        waits.append(RoutingWait("sequence", one.after, one.code))
    return steps, waits


def _step(one: Rework, like: RoutingOperation, gate: str | None) -> RoutingOperation:
    """The step itself: fixed hours, with the gate that it is to pass."""
    step = replace(
        like,
        code=one.code,
        name=one.name,
        work=(WorkLine(one.name, "fixed", one.hours),),
        allowance=None,
        when=None,
        unless=None,
        gate=gate,
        standard=None,
    )
    if one.skill is None or one.station is None:
        return step
    return replace(
        step,
        station=one.station,
        skill=one.skill,
        crew_min=one.crew_min,
        crew_max=one.crew_max,
        one_go=False,
        demands=(),
        calendar=None,
        duration_hours=None,
        lead_days=None,
        slots=None,
        setup_family=None,
    )


def _moved(wait: RoutingWait, one: Rework) -> RoutingWait:
    if wait.before != one.after or wait.before_of != "end":
        return wait
    return replace(wait, before=one.code)
