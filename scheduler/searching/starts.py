"""Where a search sets out from: what each rule, and each plan given, decodes to."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from scheduler.decoding.decoder import VALUES, decode, new_state
from scheduler.searching.chain import new_choices
from scheduler.searching.dispatch import in_order_of_starts
from scheduler.searching.rules import rule_orders

if TYPE_CHECKING:
    from scheduler.compiling.arrays import I32, Arrays
    from scheduler.decoding.placing import Choices, State
    from scheduler.searching.alone import Alone
    from scheduler.searching.dispatch import Dispatched

EVENT_DRIVEN = "event-driven"

Values = tuple[int, ...]
Ranked = tuple[str, Values, "Choices"]  # of a rule: its name, value and start


def rank_starts(
    a: Arrays,
    facts: State,
    due_position: I32,
    alone: Alone,
    whole: list[Dispatched],
    given: list[Choices],
    workers: int,
) -> tuple[list[Ranked], dict[str, int], int]:
    """Decode every rule with two crew policies, and what is given.

    Returns
    -------
    list of Ranked
        Those that give a plan, best first, what is given in front of its equals.
    dict of str to int
        The first level of each rule, at its better crews.
    int
        How many were decoded.
    """
    orders = rule_orders(a, alone)
    for k, plan in enumerate(whole):
        orders[f"{EVENT_DRIVEN}/{k}"] = in_order_of_starts(a, plan)
    candidates = [(f"given {k}", choices) for k, choices in enumerate(given)]
    for name, order in orders.items():
        candidates.append((f"{name}/first", new_choices(a, order)))
        large = new_choices(a, order)
        large.crew[:] = a.crew_max
        candidates.append((f"{name}/large", large))
    each = [choices for _, choices in candidates]
    ranked: list[Ranked] = []
    rules: dict[str, int] = {}
    for (name, choices), values in zip(
        candidates, _decode_each(a, facts, due_position, each, workers), strict=True
    ):
        if values is not None:
            ranked.append((name, values, choices))
            rule = name.split("/")[0]
            rules[rule] = min(rules.get(rule, values[0]), values[0])
    for plan in whole:
        value = plan.values[0]
        rules[EVENT_DRIVEN] = min(rules.get(EVENT_DRIVEN, value), value)
    ranked.sort(key=lambda one: one[1])
    return ranked, rules, len(candidates)


def _decode_each(
    a: Arrays, facts: State, due_position: I32, each: list[Choices], workers: int
) -> list[Values | None]:
    """The values of each candidate, None where it gives no plan."""
    parts = [each[k::workers] for k in range(workers)]
    with ThreadPoolExecutor(max_workers=workers) as pool:
        found = list(pool.map(partial(_decode_some, a, facts, due_position), parts))
    return [found[k % workers][k // workers] for k in range(len(each))]


def _decode_some(
    a: Arrays, facts: State, due_position: I32, some: list[Choices]
) -> list[Values | None]:
    state, value = new_state(a), np.zeros(VALUES, np.int64)
    out: list[Values | None] = []
    for choices in some:
        done = decode(a, facts, state, choices, due_position, value)
        out.append(tuple(int(one) for one in value) if done else None)
    return out
