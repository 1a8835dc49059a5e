"""Plans of the event-driven decoder, by many settings of its priorities.

Which setting is best differs from book to book and costs a decode to know; so a few
are tried, those first that together did best on books of many kinds.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from scheduler.compiling.arrays import I32, Arrays
from scheduler.decoding.decoder import VALUES, new_state, open_boats
from scheduler.decoding.in_time import SCRATCH, Priorities, decode_in_time
from scheduler.decoding.placing import Choices, State
from scheduler.searching.alone import Alone
from scheduler.searching.rules import due_tick, total_ticks

HANDFUL = 2  # settings tried side by side
KEPT = 2  # of the plans


class Setting(NamedTuple):
    """One way to choose what is begun next."""

    share: float  # of the open boats that may be in work at once
    look_ahead: float  # of the apparent tardiness cost, in flows; 0: the least slack
    patience_days: float  # by which work that is more urgent may begin later
    ahead: float  # of its latest start, in flows: before, no work is begun
    large: bool  # all crews as large as allowed, else those that finish first


@dataclass(frozen=True)
class Dispatched:
    """A whole plan of the event-driven decoder."""

    plan: State
    choices: Choices  # with its crews; none of it is held back
    values: tuple[int, ...]
    setting: Setting


SETTINGS = (
    Setting(0.125, 1.0, 4.0, 2.0, False),
    Setting(0.125, 0.2, 0.0, 2.0, False),
    Setting(0.125, 0.05, 0.5, 2.0, False),
    Setting(0.125, 0.2, 4.0, 1.0, False),
    Setting(0.125, 0.05, 4.0, 2.0, False),
    Setting(1.0, 0.05, 4.0, 1.0, False),
    Setting(0.25, 1.0, 0.5, 2.0, False),
    Setting(1.0, 1.0, 4.0, 0.5, False),
    Setting(0.125, 0.0, 4.0, 2.0, True),
    Setting(0.125, 1.0, 0.5, 2.0, False),
    Setting(0.125, 1.0, 0.0, 1.0, False),
    Setting(0.125, 0.0, 0.5, 1.0, False),
    Setting(0.5, 0.2, 4.0, 0.5, False),
    Setting(0.25, 1.0, 0.0, 2.0, False),
    Setting(1.0, 1.0, 0.0, 0.5, False),
    Setting(0.125, 0.2, 4.0, 2.0, False),
)
"""Those that are tried, the more useful first.

Chosen one by one on 21 yards of `hullpace sample` (12 to 60 boats, load 1.1 to 2, with
and without further rules, seeds 11 to 31): each brings the best of those before it
nearest to the best of a grid of 288.
"""


def dispatch_all(
    a: Arrays,
    facts: State,
    alone: Alone,
    due_position: I32,
    settings: int,
    workers: int,
    is_over: Callable[[], bool],
) -> tuple[list[Dispatched], int]:
    """Plans of so many settings, best first, and how many were tried.

    Ends sooner where `is_over` says so, which is asked before each handful.
    """
    found: list[Dispatched] = []
    tried = 0
    with ThreadPoolExecutor(max_workers=workers) as pool:
        while tried < min(settings, len(SETTINGS)) and not is_over():
            some = SETTINGS[tried : min(settings, tried + HANDFUL)]
            tried += len(some)
            jobs = [
                pool.submit(dispatch, a, facts, alone, one, due_position)
                for one in some
            ]
            plans = [job.result() for job in jobs]
            found += [plan for plan in plans if plan is not None]
            found = sorted(found, key=lambda plan: plan.values)[:KEPT]
    return found, tried


def in_order_of_starts(a: Arrays, plan: Dispatched) -> I32:
    """The open boats as a plan begins them; those that lead stay in front."""
    boats = plan.choices.order
    first = [plan.plan.start[a.boat_at[k] : a.boat_at[k + 1]].min() for k in boats]
    later = np.arange(len(boats)) >= a.leading
    return boats[np.lexsort((boats, first, later))].astype(np.int32)


def dispatch(
    a: Arrays, facts: State, alone: Alone, setting: Setting, due_position: I32
) -> Dispatched | None:
    """Plan with one setting; None if all work comes to wait for one another."""
    boats = open_boats(a)
    flow = max(1.0, float(np.mean(alone.flow(boats)))) if len(boats) else 1.0
    crew = np.zeros(len(a.boat_of), np.int8)
    if setting.large:
        crew[:] = a.crew_max
    begin = np.maximum(0, alone.latest - int(setting.ahead * flow)).astype(np.int32)
    no_delay = np.zeros(len(a.boat_of), np.int32)
    state, value = new_state(a), np.zeros(VALUES, np.int64)
    priorities = priorities_of(a, alone, setting, flow)
    if not decode_in_time(
        a, facts, state, Choices(boats, crew, begin), priorities, due_position, value
    ):
        return None
    values = tuple(int(one) for one in value)
    return Dispatched(state, Choices(boats, crew, no_delay), values, setting)


def priorities_of(a: Arrays, alone: Alone, setting: Setting, flow: float) -> Priorities:
    """What the decoder goes by, with a setting."""
    boats, operations = open_boats(a), len(a.boat_of)
    value = np.zeros(len(a.boat_due), np.float64)
    for boat in boats:
        worth = max(1, int(a.boat_weight[boat])) / max(1, total_ticks(a, boat))
        value[boat] = np.log(worth)
    return Priorities(
        due=due_tick(a),
        value=value,
        tail=(alone.finish[a.boat_of] - alone.latest).astype(np.int32),
        scale=int(setting.look_ahead * flow),
        patience=int(setting.patience_days * a.ticks_per_day),
        most=max(3, a.leading, int(setting.share * len(boats))),
        ready=np.zeros(operations, np.int32),
        asked=np.zeros(operations, np.int32),
        left=np.zeros(len(a.boat_due), np.int32),
        count=np.zeros(SCRATCH, np.int64),
    )
