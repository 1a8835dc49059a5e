"""What things are called: the yard's names behind the codes of a plan.

A plan file holds codes; names, station groups and cautions stand in the yard's own
files. Where those cannot be read, the codes are shown instead.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from models.errors import DataFaults
from models.job_orders import work_orders
from models.jobs import JOB_KINDS
from models.rework import added_step

if TYPE_CHECKING:
    from pathlib import Path

    from models.orders import Book, Order

_COLOR = re.compile(r"(?P<part>.+)\.color(?P<number>\d+)\.(?P<step>mask|spray|unmask)$")
MOST_GROUPS = 6
ONE_GROUP = "All work"


def plain(text: object) -> str:
    """Text without the two signs that a chart would take for markup."""
    return str(text).replace("<", "").replace(">", "")


@dataclass(frozen=True)
class Names:
    """Names by code; whatever is missing is called by its code."""

    yard: str = "Yard"
    note: str = ""  # why names are missing, for the page
    stations: dict[str, str] = field(default_factory=dict)
    groups: dict[str, str] = field(default_factory=dict)  # of stations
    skills: dict[str, str] = field(default_factory=dict)
    models: dict[str, str] = field(default_factory=dict)
    operations: dict[tuple[str, str], str] = field(default_factory=dict)
    parts: dict[tuple[str, str], str] = field(default_factory=dict)
    cautions: dict[tuple[str, str], str] = field(default_factory=dict)
    customers: dict[str, str] = field(default_factory=dict)
    choices: dict[str, tuple[str, ...]] = field(default_factory=dict)  # of an order
    sources: dict[str, str] = field(default_factory=dict)  # file name -> sha256

    def station(self, code: str) -> str:
        """Name of a station."""
        return self.stations.get(code, plain(code))

    def skill(self, code: str) -> str:
        """Name of a skill."""
        return self.skills.get(code, plain(code))

    def model(self, code: str) -> str:
        """Name of a model."""
        return self.models.get(code, plain(code))

    def part(self, model: str, code: str) -> str:
        """Name of a part."""
        return self.parts.get((model, code), plain(code).capitalize())

    def operation(self, model: str, code: str) -> str:
        """Name of an operation; a graphic's steps are named by part and color."""
        known = self.operations.get((model, code))
        if known:
            return known
        again = added_step(code)
        if again is not None:
            step, kind, number = again
            return f"{self.operation(model, step)}, {kind} {number}"
        color = _COLOR.match(code)
        if color:
            part = self.part(model, color["part"]).lower()
            return f"{color['step'].capitalize()} color {color['number']}, {part}"
        return plain(code)

    def knows(self, model: str, code: str) -> bool:
        """Whether the yard's files say what an operation is."""
        again = added_step(code)
        if again is not None:
            return self.knows(model, again[0])
        color = _COLOR.match(code) and model in self.models
        return bool(color) or (model, code) in self.operations

    def caution(self, model: str, code: str) -> str | None:
        """Key of the caution that belongs to an operation."""
        again = added_step(code)
        code = code if again is None else again[0]
        if _COLOR.match(code):
            return "gel_coat"
        return self.cautions.get((model, code))

    def group_names(self, stations: list[str]) -> list[str]:
        """Groups of some stations, in the yard's order, at most six."""
        known = list(dict.fromkeys(self.groups.values()))
        if not known or any(one not in self.groups for one in stations):
            return [ONE_GROUP]
        return known[:MOST_GROUPS]


def load_names(yard: Path, orders: list[Path] | None = None) -> Names:
    """Read names from a yard's folder; a note says so where they cannot be read.

    `orders` are further order books than the yard's own.
    """
    from models.loading import load_book

    if not (yard / "yard.toml").is_file():
        return Names(note=f"No yard.toml in {yard}: codes are shown instead of names.")
    try:
        book = load_book(yard, orders)
    except DataFaults as error:
        count = len(error.faults)
        return Names(
            note=f"{yard} has {count} {'fault' if count == 1 else 'faults'}: codes are "
            f"shown instead of names. `hullpace load --dry-run` lists them."
        )
    return names_of(book)


def names_of(book: Book) -> Names:
    """Collect the names of a book."""
    yard, models = book.yard, book.models.values()
    return Names(
        yard=plain(yard.name),
        stations={one.id: plain(one.name) for one in yard.stations},
        groups={one.id: plain(one.group) for one in yard.stations},
        skills={one.id: plain(one.name) for one in yard.skills},
        models=JOB_KINDS | {one.id: plain(one.name) for one in models},
        operations={
            (model.id, one.code): plain(one.name)
            for model in models
            for one in model.operations
        },
        parts={
            (model.id, one.id): plain(one.name)
            for model in models
            for one in model.parts
        },
        cautions={
            (model.id, one.code): one.caution
            for model in models
            for one in model.operations
            if one.caution
        },
        customers={one.order: plain(one.customer_ref) for one in work_orders(book)},
        choices={one.order: _choices(one, book) for one in book.orders},
        sources=dict(book.sources or {}),
    )


def _choices(order: Order, book: Book) -> tuple[str, ...]:
    """What the customer of an order has chosen, by name."""
    model = book.models[order.model]
    options = [plain(one.name) for one in model.options if one.id in order.options]
    graphics = [plain(one.name) for one in model.graphics if one.id == order.graphics]
    return (*options, *graphics)
