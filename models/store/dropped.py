"""Refusing files that lack a boat with a part in a mold: the mold is not free."""

from __future__ import annotations

from sqlalchemy import Connection

from models.errors import DataFaults, Fault
from models.recording.entries import standing
from models.recording.in_molds import InMold, parts_in_molds
from models.store.documents import Loaded, to_book
from models.store.floor_entries import read_records


def refuse_dropped(connection: Connection, base: Loaded | None, files: Loaded) -> None:
    """Stop a load that would withdraw a boat whose part is in its mold.

    Raises
    ------
    DataFaults
        With a line for each part.
    """
    missing = set() if base is None else base.orders.keys() - files.orders.keys()
    if base is None or not missing:
        return
    entries = standing(read_records(connection))
    found = parts_in_molds(to_book(base), entries, missing)
    if found:
        raise DataFaults(_fault(one) for one in found)


def _fault(one: InMold) -> Fault:
    mold = f"mold {one.mold}" if one.mold else "its mold"
    return Fault(
        "the order book",
        f"order {one.order}",
        f"no row, while its {one.part.lower()} has been in {mold} since "
        f"{one.since:%Y-%m-%d %H:%M}",
        "its row; or first, once the part is out, "
        f"`hullpace record finish {one.order} {one.leaves_by}`",
    )
