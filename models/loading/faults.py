"""Collecting faults: every one of every file, in the order of the files."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from difflib import get_close_matches

from models.errors import DataFaults, Fault

_LONGEST = 80  # characters of a found value that are worth printing
_MOST_COMPARED = 300  # names among which the nearest is looked for


class FaultLog:
    """Gathers faults while files are read and checked."""

    def __init__(self) -> None:
        self._faults: dict[str, dict[Fault, None]] = {}

    def open(self, file: str) -> None:
        """Fix a file's turn in the list of faults."""
        self._faults.setdefault(file, {})

    def add(self, file: str, where: str, found: str, expected: str) -> None:
        """Note a fault; whatever it quotes is made to fit on one line."""
        fault = Fault(file, one_line(where), one_line(found), one_line(expected, 400))
        self._faults.setdefault(file, {})[fault] = None

    def raise_if_any(self) -> None:
        """Raise everything found so far."""
        faults = [fault for file in self._faults.values() for fault in file]
        if faults:
            raise DataFaults(faults)

    @property
    def count(self) -> int:
        """Faults found so far."""
        return sum(map(len, self._faults.values()))


def one_line(text: str, longest: int = 2 * _LONGEST) -> str:
    """Make a text printable on one line: no control characters, not too long."""
    shown = "".join(char if char.isprintable() else repr(char)[1:-1] for char in text)
    return shown if len(shown) <= longest else shown[: longest - 1] + "…"


def quoted(value: object) -> str:
    """Show a found value; nothing at all reads as such."""
    if value is None or value == "":
        return "nothing"
    shown = f"'{value}'" if isinstance(value, str) else str(value)
    return one_line(shown, _LONGEST)


def listed(names: Iterable[str], most: int = 8) -> str:
    """Join names for a sentence, cut where there are many."""
    chosen = sorted(names)
    text = ", ".join(chosen[:most])
    return text + f", ... ({len(chosen)} in all)" if len(chosen) > most else text


def one_of(value: str, known: Collection[str], noun: str) -> str:
    """Say what was expected where a name is not known: the nearest, then all."""
    if not known:
        return f"{noun}, but there is none"
    near = get_close_matches(value, _some(known, value), n=1, cutoff=0.6)
    if near:
        return f"{noun}; did you mean '{near[0]}'?"
    return f"{noun}, one of {listed(known)}"


def _some(known: Collection[str], value: str) -> Collection[str]:
    """Keep the search for the nearest name short where there are very many."""
    if len(known) <= _MOST_COMPARED:
        return known
    alike = sorted(name for name in known if name[:2] == value[:2])
    return alike[:_MOST_COMPARED]
