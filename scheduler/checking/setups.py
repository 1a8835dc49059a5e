"""Every change of color at a station has its set-up (R16)."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from itertools import pairwise

from scheduler.checking.document import Document


def check_setups(doc: Document) -> Iterator[str]:
    """Yield work in a family of color that starts before the station is set up for it.

    Work is in order of its true start, what takes no time left out. Between two whose
    starts are given nothing is asked, because they stand.
    """
    by_station: dict[str, list[tuple[int, int, str]]] = defaultdict(list)
    for id, row in doc.planned.items():
        operation = doc.operations[id]
        takes_time = row["start"] < row["finish"]
        if operation["setup_family"] is not None and takes_time:
            use = row["start"], row["finish"], id
            by_station[operation["station"]].append(use)
    for station, uses in by_station.items():
        row = doc.stations[station]
        minutes = {(one[0], one[1]): one[2] for one in row["setups"]}
        tick = doc.clock.tick_minutes
        for before, after in pairwise(sorted(uses)):
            if _is_given(doc, before[2]) and _is_given(doc, after[2]):
                continue
            pair = _family(doc, before[2]), _family(doc, after[2])
            need = -(-minutes.get(pair, 0) // tick)
            if after[0] < before[1] + need:
                yield (
                    f"Station {station} needs {minutes.get(pair, 0)} minutes of set-up "
                    f"from {pair[0]} to {pair[1]}, but {after[2]} begins "
                    f"{doc.clock.when(after[0])} and {before[2]} ends "
                    f"{doc.clock.when(before[1])}."
                )
        for start, _, id in uses:
            pair = (row["last_family"], _family(doc, id))
            need = -(-minutes.get(pair, 0) // tick)
            if doc.state(id) is None and start < doc.facts["now"] + need:
                yield (
                    f"Station {station} was last used for {pair[0]}, so that {id} in "
                    f"{pair[1]} cannot begin {doc.clock.when(start)}."
                )


def _is_given(doc: Document, id: str) -> bool:
    return doc.committed.get(id, {}).get("start") is not None


def _family(doc: Document, id: str) -> str:
    return doc.operations[id]["setup_family"]  # type: ignore[no-any-return]
