"""Checks of the routing as a network: no cycle, and holds that end after they begin.

The network is that of a boat with every step, whatever its options, and every
layout's colors as one link. Cycles are judged by step, not by start and end: two steps
that wait for each other are a cycle even where a start and an end could be told apart.
What holds a mold or place is judged by start and end: two steps that only end one after
the other may start in any order.
"""

from __future__ import annotations

from models.boat import BoatModel
from models.loading.checks.scope import BoatScope

Links = dict[str, set[str]]


def check_routing(scope: BoatScope) -> None:
    """Check a model's routing as a network."""
    if not scope.whole("operations", "waits"):
        return
    links = successors(scope.model)
    cycle = find_cycle(links)
    if cycle:
        found = f"a cycle: {' -> '.join((*cycle, cycle[0]))}"
        scope.fault("waits", found, "a routing in which no step waits for itself")
        return
    codes = scope.codes
    instants = successive_instants(scope.model)
    conditions = {one.code: (one.when, one.unless) for one in scope.model.operations}
    for part in scope.model.parts:
        for first, last, what, of in (
            (part.mold_from, part.mold_to, "mold", "end"),
            (part.place_from, part.place_to, "place", part.place_to_of),
        ):
            where = f"parts.{part.id}.{what}"
            if first is None or last is None:
                continue
            known = scope.refer(f"{where}_from", first, codes, "an operation")
            known &= scope.refer(f"{where}_to", last, codes, "an operation")
            if not known:
                continue
            if last not in reached(links, first):
                expected = f"a step that the routing puts after '{first}'"
                scope.fault(f"{where}_to", f"'{last}'", expected)
            elif f"{last} {of}" not in reached(instants, f"{first} start"):
                expected = f"one that the routing puts after the start of '{first}'"
                scope.fault(f"{where}_to", f"the {of} of '{last}'", expected)
            if conditions[first] != conditions[last]:
                expected = f"steps on the same options as '{first}'"
                scope.fault(f"{where}_to", f"'{last}'", expected)


def successors(model: BoatModel) -> Links:
    """Which steps wait for each step; unknown codes are left out."""
    links: Links = {step.code: set() for step in model.operations}
    pairs = [(wait.before, wait.after) for wait in model.waits]
    for wait in model.waits:
        if wait.reprep is not None:
            pairs += [(wait.before, wait.reprep), (wait.reprep, wait.after)]
    pairs += [(graphic.after, graphic.before) for graphic in model.graphics]
    for before, after in pairs:
        if before in links and after in links:
            links[before].add(after)
    return links


def successive_instants(model: BoatModel) -> Links:
    """Which starts and ends of steps come no sooner than each start and end."""
    links: Links = {}
    for step in model.operations:
        links[f"{step.code} start"] = {f"{step.code} end"}
        links[f"{step.code} end"] = set()
    pairs = [
        (f"{wait.before} {wait.before_of}", f"{wait.after} {wait.after_of}")
        for wait in model.waits
    ]
    pairs += [(f"{one.after} end", f"{one.before} start") for one in model.graphics]
    for before, after in pairs:
        if before in links and after in links:
            links[before].add(after)
    return links


def find_cycle(links: Links) -> list[str]:
    """Find one cycle, in order; empty if there is none."""
    waiting = dict.fromkeys(links, 0)
    for afters in links.values():
        for after in afters:
            waiting[after] += 1
    ready = [code for code, count in waiting.items() if count == 0]
    while ready:
        code = ready.pop()
        del waiting[code]
        for after in links[code]:
            waiting[after] -= 1
            if waiting[after] == 0:
                ready.append(after)
    if not waiting:
        return []
    return _walk_back(links, set(waiting))


def _walk_back(links: Links, stuck: set[str]) -> list[str]:
    """Follow predecessors among steps that each have one until one comes again."""
    befores = {
        after: before for before in sorted(stuck) for after in links[before] & stuck
    }
    path = [min(befores)]
    while befores[path[-1]] not in path:
        path.append(befores[path[-1]])
    return path[path.index(befores[path[-1]]) :][::-1]


def reached(links: Links, start: str) -> set[str]:
    """Everything that comes after a step, itself included."""
    seen, heap = {start}, [start]
    while heap:
        for after in links[heap.pop()] - seen:
            seen.add(after)
            heap.append(after)
    return seen
