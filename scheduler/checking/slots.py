"""Work that must start in a slot does, and no slot has more than its share (R17)."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from scheduler.checking.document import Document


def check_slots(doc: Document) -> Iterator[str]:
    """Yield starts outside a slot, and slots in which too many start.

    What is done or started needs no slot any more, and takes none.
    """
    taken: dict[tuple[str, int], list[str]] = defaultdict(list)
    for id, row in doc.planned.items():
        name = doc.operations[id]["slots"]
        if name is None or doc.state(id) in ("done", "started"):
            continue
        slots = doc.calendars[name].open
        start = row["start"]
        if not slots.covers(start, start + 1):
            yield (
                f"{id} must start in a slot of {name}, but starts "
                f"{doc.clock.when(start)}."
            )
            continue
        slot = next(n for n, end in enumerate(slots.ends) if start < end)
        taken[name, slot].append(id)
    for (name, slot), ids in taken.items():
        most = doc.calendars[name].starts_per_slot
        if most is not None and len(ids) > most:
            begin = doc.calendars[name].open.starts[slot]
            yield (
                f"The slot of {name} from {doc.clock.when(begin)} is for {most}, but "
                f"{' and '.join(sorted(ids))} start in it."
            )
