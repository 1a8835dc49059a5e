"""What the cross checks look at: everything that was read, and what is missing."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from models.boat import BoatModel
from models.loading.faults import FaultLog, one_of, quoted
from models.yard import Yard

NOTHING_LEFT_OUT: Mapping[str, frozenset[str]] = {}


@dataclass(frozen=True, slots=True)
class YardScope:
    """A yard; `left_out` gives, by table, the entries that have a fault already."""

    yard: Yard
    file: str
    log: FaultLog
    left_out: Mapping[str, frozenset[str]]

    def whole(self, *tables: str) -> bool:
        """Whether every entry of these tables was read."""
        return not any(table in self.left_out for table in tables)

    def known(self, table: str, names: Iterable[str]) -> set[str]:
        """Names of a table's entries, those with a fault included."""
        return {*names, *self.left_out.get(table, ())}

    def fault(self, where: str, found: str, expected: str) -> None:
        """Note a fault in `yard.toml`."""
        self.log.add(self.file, where, found, expected)

    def refer(self, where: str, name: str, known: Collection[str], noun: str) -> bool:
        """Note a fault unless a name is known."""
        if name not in known:
            self.fault(where, quoted(name), one_of(name, known, noun))
        return name in known


@dataclass(frozen=True, slots=True)
class BoatScope:
    """A boat model; `left_out` as for a yard."""

    model: BoatModel
    file: str
    log: FaultLog
    left_out: Mapping[str, frozenset[str]]

    def whole(self, *tables: str) -> bool:
        """Whether every entry of these tables was read."""
        return not any(table in self.left_out for table in tables)

    def known(self, table: str, names: Iterable[str]) -> set[str]:
        """Names of a table's entries, those with a fault included."""
        return {*names, *self.left_out.get(table, ())}

    @property
    def codes(self) -> set[str]:
        """Codes of all operations."""
        return self.known("operations", (one.code for one in self.model.operations))

    @property
    def option_ids(self) -> set[str]:
        """Ids of all options."""
        return self.known("options", (one.id for one in self.model.options))

    def fault(self, where: str, found: str, expected: str) -> None:
        """Note a fault in the model's file."""
        self.log.add(self.file, where, found, expected)

    def refer(
        self, where: str, name: str | None, known: Collection[str], noun: str
    ) -> bool:
        """Note a fault unless a name is known or absent."""
        if name is not None and name not in known:
            self.fault(where, quoted(name), one_of(name, known, noun))
            return False
        return True


def repeated(names: Iterable[str]) -> list[str]:
    """Names that occur more than once, each listed once."""
    seen: set[str] = set()
    twice: dict[str, None] = {}
    for name in names:
        if name in seen:
            twice[name] = None
        seen.add(name)
    return list(twice)
