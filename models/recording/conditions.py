"""Air, mold and humidity where gel coat and laminate are worked, and their batch.

A step that uses a material whose data sheet states ranges asks for those conditions at
its start; a finish may say them again. Outside the range, or without them, an entry is
kept with a warning: what was done stays true, and the people there judge what follows.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from models.bill import uses_of
from models.materials import Material, Range
from models.orders import Book
from models.recording.entries import FINISH, START, FloorEntry

Sheets = Mapping[str, tuple[Material, ...]]  # by operation, of one order
QUANTITIES = (
    ("air_celsius", "air temperature", "°C"),
    ("mold_celsius", "mold temperature", "°C"),
    ("humidity_percent", "humidity", "%"),
)


def warnings_of(
    sheets: Sheets, entries: Sequence[FloorEntry], new: FloorEntry
) -> tuple[str, ...]:
    """Say what of an entry's conditions a data sheet does not allow, or lacks.

    Parameters
    ----------
    sheets : mapping
        Of the entry's order (`sheets_of`).
    entries : sequence of FloorEntry
        Those of the entry's step that hold, in their order.
    new : FloorEntry
        The one to be looked at.
    """
    earlier = [
        one
        for one in entries
        if one.what in (START, FINISH) and one.at <= new.at and one is not new
    ]
    asked = new.what in (START, FINISH)
    return tuple(
        warning
        for material in sheets.get(new.operation, ())
        for warning in _of_material(material, new, earlier if asked else None)
    )


def sheets_of(book: Book, order: str) -> Sheets:
    """Materials whose data sheets state ranges, by the step of an order that uses them.

    Empty for an order that the book does not have.
    """
    known = {one.id: one for one in book.yard.materials}
    out: dict[str, tuple[Material, ...]] = {}
    for one in book.orders:
        if one.order != order:
            continue
        for use in uses_of(book.models[one.model], one):
            material = known[use.material]
            here = out.get(use.operation, ())
            stated = any(getattr(material, name) for name, _, _ in QUANTITIES)
            if stated and material not in here:
                out[use.operation] = (*here, material)
    return out


def _of_material(
    material: Material, new: FloorEntry, earlier: Sequence[FloorEntry] | None
) -> Iterator[str]:
    """Compare with one data sheet; what lacks is told where `earlier` is given.

    A finish lacks nothing that was recorded at a start.
    """
    sheet = f"the data sheet of {material.name}"
    for name, words, unit in QUANTITIES:
        allowed: Range | None = getattr(material, name)
        value: float | None = getattr(new, name)
        if allowed is None:
            continue
        low, high = allowed
        if value is None:
            if earlier is not None and not _was_said(name, new, earlier):
                yield f"no {words}: {sheet} asks for {low:g} to {high:g} {unit}"
        elif not low <= value <= high:
            yield (
                f"{words} {value:g} {unit} is outside {low:g} to {high:g} {unit} of "
                f"{sheet}"
            )
    if earlier is not None and not new.batch and not _was_said("batch", new, earlier):
        yield f"no batch of {material.name}"


def _was_said(name: str, new: FloorEntry, earlier: Sequence[FloorEntry]) -> bool:
    if new.what == START:
        return False
    return any(getattr(one, name) not in (None, "") for one in earlier)
