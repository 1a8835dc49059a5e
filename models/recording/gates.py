"""Gates: an inspection at the end of a step, without which nothing goes on.

What waits for the end of the step begins only after a result that passed, taken when
the step was done. A fail, or a rework of the step, asks for another result; until then
a part stays in its mold, because its demold may not begin.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from models.orders import InHand
from models.recording.entries import FAIL, GATE, PASS, REWORK, START, FloorEntry
from models.recording.objection import Objection
from models.rework import rework_code
from models.routing import Routing

Step = tuple[str, str]  # order and operation code
Results = dict[Step, FloorEntry]  # the newest of each gate


def gate_objections(
    entries: Sequence[FloorEntry],
    routings: Mapping[str, Routing],
    rows: Mapping[Step, InHand],
) -> Iterator[Objection]:
    """Find results of no gate, and work begun without its gate passed.

    Parameters
    ----------
    entries : sequence of FloorEntry
        All that hold, in their order.
    routings : mapping
        By order.
    rows : mapping
        Work in hand that the entries come to, by step.
    """
    gates = gates_of(routings)
    results: Results = {}  # as they are before each entry
    for one in entries:
        step = (one.order, one.operation)
        if one.what == GATE:
            yield from _of_result(one, gates.get(step), rows.get(step))
        elif one.result is not None:
            yield Objection(one, "result", one.result, "nothing but on a gate")
        elif one.what == START:
            yield from _of_start(one, results, routings[one.order], gates)
        _take_result(results, one)


def gates_of(routings: Mapping[str, Routing]) -> dict[Step, str]:
    """The gate of each step that has one."""
    return {
        (order, routed.code): routed.step.gate
        for order, routing in routings.items()
        for routed in routing.operations
        if routed.step.gate is not None
    }


def last_results(entries: Iterable[FloorEntry]) -> Results:
    """The newest result of each step's gate; none where a rework came after it."""
    results: Results = {}
    for one in entries:
        _take_result(results, one)
    return results


def _take_result(results: Results, entry: FloorEntry) -> None:
    step = (entry.order, entry.operation)
    if entry.what == GATE:
        results[step] = entry
    elif entry.what == REWORK:
        results.pop(step, None)


def _of_result(
    entry: FloorEntry, gate: str | None, row: InHand | None
) -> Iterator[Objection]:
    if gate is None:
        expected = "a step whose routing has a gate"
        yield Objection(entry, "operation", f"'{entry.operation}'", expected)
    if entry.result is None:
        yield Objection(entry, "result", "nothing", "pass or fail")
    if entry.result == FAIL and not entry.note:
        yield Objection(entry, "note", "nothing", "what was found")


def _of_start(
    entry: FloorEntry,
    results: Results,
    routing: Routing,
    gates: Mapping[Step, str],
) -> Iterator[Objection]:
    for wait in routing.waits:
        step = (entry.order, wait.before)
        if wait.after != entry.operation or wait.before_of != "end":
            continue
        if wait.after_of != "start" or step not in gates:
            continue
        if wait.after == rework_code(wait.before):
            continue  # it is what the fail asks for
        result = results.get(step)
        if result is not None and result.result == PASS:
            continue
        found = "no result yet" if result is None else f"a fail ({result.note})"
        yield Objection(
            entry,
            "at",
            f"'{entry.operation}' begun with {found} of the gate "
            f"'{gates[step]}' of '{wait.before}'",
            "a pass of it first",
        )


def failed_gates(
    entries: Sequence[FloorEntry], routings: Mapping[str, Routing]
) -> list[str]:
    """Say of each gate whose newest result is a fail what must wait for it."""
    told = []
    results = last_results(entries)
    for (order, code), gate in gates_of(routings).items():
        result = results.get((order, code))
        if result is None or result.result != FAIL:
            continue
        said = (
            f"{order} {code}: gate '{gate}' failed on {result.at:%Y-%m-%d %H:%M} "
            f"({result.note})"
        )
        waits, again = routings[order].waits, rework_code(code)
        if any(one.after == again for one in waits):
            if (order, again) not in results:
                hours = f"{result.rework_hours or 0:g} h of rework"
                told.append(f"{said}; '{again}' ({hours}) comes before the next result")
            continue
        after = [one.after for one in waits if one.before == code]
        told.append(
            f"{said}; {', '.join(dict.fromkeys(after))} may not begin until it passes"
        )
    return told
