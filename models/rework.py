"""Work that no routing foresees: done again after a gate, or for a change order.

It comes after the end of one step and before everything that waits for that end, with
the same waits: what a cure or a bond asks for after the step is asked for after its
rework too. Work of a change order leaves the step's own waits as they are beside that:
it does not lay the step anew, so no maximum may count from it.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from models.boat import RoutingOperation, RoutingWait, WorkLine

if TYPE_CHECKING:
    from models.orders import Rework

REWORK, CHANGE = "rework", "change"
_NUMBERED = re.compile(r"(?P<step>.+)\.(?P<kind>rework|change)(?P<number>[0-9]+)")


def rework_code(step: str) -> str:
    """The code of the rework that follows a step; of a rework, the next one's."""
    before = added_step(step)
    if before is None or before[1] != REWORK:
        return f"{step}.{REWORK}1"
    return f"{before[0]}.{REWORK}{before[2] + 1}"


def added_step(code: str) -> tuple[str, str, int] | None:
    """The step that added work belongs to, its kind and number; None for other codes.

    The kind is rework (after a gate) or change (of a change order).
    """
    found = _NUMBERED.fullmatch(code)
    if found is None:
        return None
    return found["step"], found["kind"], int(found["number"])


def insert_rework(
    steps: Sequence[RoutingOperation],
    waits: Sequence[RoutingWait],
    rework: Sequence[Rework],
) -> tuple[list[RoutingOperation], list[RoutingWait]]:
    """Put rework into a routing, in the order in which it was found to be needed.

    Rework of a step that this boat does not have is left out.
    """
    steps, waits = list(steps), list(waits)
    left = list(rework)
    while left:
        codes = {step.code for step in steps}
        # Rework of a rework may have been asked for before it.
        fits = next((one for one in left if {one.after, one.like} <= codes), None)
        if fits is None:
            break
        left.remove(fits)
        waits = _insert(fits, steps, waits)
    return steps, waits


def _insert(
    one: Rework, steps: list[RoutingOperation], waits: list[RoutingWait]
) -> list[RoutingWait]:
    """Put one step in; the waits from now on."""
    by_code = {step.code: step for step in steps}
    inspected = one.like if one.keeps_waits else one.after
    step = _step(one, by_code[one.like], by_code[inspected].gate)
    steps.insert(steps.index(by_code[one.after]) + 1, step)
    first = RoutingWait("sequence", one.after, one.code)
    if one.keeps_waits:
        behind = [wait for wait in waits if _from_end(wait, one)]
        copies = [replace(_moved(wait, one), max_hours=None) for wait in behind]
        return [*waits, *copies, first]
    return [*(_moved(wait, one) for wait in waits), first]


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
        leads_min=0,
        one_go=False,
        demands=(),
        calendar=None,
        duration_hours=None,
        lead_days=None,
        slots=None,
        setup_family=None,
    )


def _from_end(wait: RoutingWait, one: Rework) -> bool:
    return wait.before == one.after and wait.before_of == "end"


def _moved(wait: RoutingWait, one: Rework) -> RoutingWait:
    return replace(wait, before=one.code) if _from_end(wait, one) else wait
