"""Station groups read from the codes of operations, where the yard's files are not.

A plan file names stations but not their groups. The words of an operation's code tell
its trade; a station belongs where most of its labor hours do.
"""

from __future__ import annotations

import re
from collections import defaultdict
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from scheduler.problem import Operation

REST = "Lay-up and other work"
# In the order in which they are looked for, and drawn; words or their beginnings.
GROUPS = {
    "Mold and gel coat": ("prep", "gel", "color", "wax"),
    "Upholstery": ("upholst", "sew", "canvas", "cushion"),
    "Rigging": (
        *("rig", "engine", "electric", "wir", "plumb", "tank", "fuel", "helm"),
        *("generator", "hookup"),
    ),
    "Interior": ("cabin", "cuddy", "galley", "sole", "interior"),
    "Joining and finish": ("join", "final", "finish", "detail", "launch", "hardware"),
}


def group_of_code(code: str) -> str:
    """The trade that the words of a code tell: `hull.gel_coat` is gel coat."""
    words = [word for word in re.split(r"[._]", code.casefold()) if word]
    for group, beginnings in GROUPS.items():
        if any(word.startswith(beginnings) for word in words):
            return group
    return REST


def groups_of_stations(operations: Iterable[Operation]) -> dict[str, str]:
    """The group of each station, in the order of drawing; at most six."""
    hours: dict[str, dict[str, float]] = defaultdict(lambda: defaultdict(float))
    for one in operations:
        hours[one.station][group_of_code(one.code)] += one.labor_hours
    order = [*GROUPS, REST]
    found = {
        station: max(order, key=lambda name: mine.get(name, -1.0))
        for station, mine in hours.items()
    }
    return dict(sorted(found.items(), key=lambda pair: order.index(pair[1])))
