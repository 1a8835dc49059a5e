"""Where re-preparations are in a plan, and why, in words."""

from __future__ import annotations

from textwrap import wrap
from typing import TYPE_CHECKING

from models.cautions import caution_text

if TYPE_CHECKING:
    from scheduler.plan import Plan

JUDGED = (
    "A late layer bonds only to a surface that was made ready for it. Whether this one "
    "still can be is for the data sheet and for people at the boat to say."
)


def reprep_lines(plan: Plan) -> list[str]:
    """Each re-preparation with the wait that was missed; empty if there is none.

    Hours are labor hours still to be worked.
    """
    problem = plan.problem
    operations = {one.id: one for one in problem.operations}
    begun = {
        one.operation: one.why
        for one in problem.committed
        if one.why in ("done", "started")
    }
    rows = {one.operation: one for one in plan.answer.operations}
    lines = []
    for wait in problem.waits:
        if wait.reprep is None or begun.get(wait.after) == "done":
            continue
        step, planned = operations[wait.reprep], rows[wait.reprep]
        most = (wait.max_minutes or 0) / 60
        ended = problem.axis.local(rows[wait.before].finish)
        window = f"{most:g} h after {wait.before} ended ({ended:%Y-%m-%d %H:%M})"
        if step.id in begun:
            lines.append(f"{step.id} is {begun[step.id]}; the {window} do not count.")
            continue
        first = problem.axis.local(planned.start)
        lines.append(
            f"{wait.after} cannot begin in the {window}: {step.id} comes first, from "
            f"{first:%Y-%m-%d %H:%M}, {step.labor_hours:,.1f} h."
        )
    if not lines:
        return []
    grinding = caution_text("grinding") or ""
    return [*lines, *wrap(f"{JUDGED} {grinding}", width=84)]
