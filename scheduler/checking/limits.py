"""Never more boats between two operations than a limit allows (R15)."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from scheduler.checking.document import Document
from scheduler.checking.resources import Use, peaks


def check_limits(doc: Document) -> Iterator[str]:
    """Yield limits on work in process that more boats exceed from now on.

    A boat is inside from the start of the one operation to the end of the other.
    """
    ids: dict[tuple[str, str], str] = {}
    for id, row in doc.operations.items():
        ids[row["order"], row["code"]] = id
    now = doc.facts["now"]
    for limit in doc.limits:
        uses: dict[str, list[Use]] = defaultdict(list)
        for order in doc.orders:
            first = ids.get((order, limit["from_operation_code"]))
            last = ids.get((order, limit["to_operation_code"]))
            if first not in doc.planned or last not in doc.planned:
                continue
            if doc.state(last) == "done":
                continue
            start, finish = doc.end_of(first, "start"), doc.end_of(last, "end")
            uses[limit["id"]].append(Use(max(now, start), finish, 1, order))
        for tick, by in peaks(uses[limit["id"]], limit["max"]):
            yield (
                f"Limit {limit['id']} allows {limit['max']} boats from "
                f"{limit['from_operation_code']} to {limit['to_operation_code']}, but "
                f"{' and '.join(by)} are there, {doc.clock.when(tick)}."
            )
