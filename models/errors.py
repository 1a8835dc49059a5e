"""What can go wrong, as a small hierarchy.

HullpaceError            anything a user can mend; printed as one clear line
+-- DataFaults           the data files are wrong; carries every fault found
+-- UsageError           a command was called wrongly
+-- PlanRefused          a plan broke a rule and was not written
+-- NoPlan               no feasible plan was found
+-- StoreFault           the store cannot be opened, read or written
+-- ChangeRefused        an order cannot be changed as it was asked for
+-- NotAllowed           a user has not the role that it takes
+-- Overtaken            somebody else has changed the same thing since
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


class HullpaceError(Exception):
    """Anything that a user can mend; the message is one clear line."""

    exit_code = 2


class UsageError(HullpaceError):
    """A command was called with arguments that make no sense together."""


class PlanRefused(HullpaceError):
    """A plan broke a rule of the shop and was therefore not written."""

    exit_code = 1


class NoPlan(HullpaceError):
    """No plan that keeps every rule was found."""

    exit_code = 1


class StoreFault(HullpaceError):
    """The store cannot be opened, read or written; nothing of it was changed."""


class ChangeRefused(HullpaceError):
    """An order cannot be changed as it was asked for; the message gives the reasons."""

    exit_code = 1


class NotAllowed(HullpaceError):
    """Whoever asks is no user of the store or has not the role that it takes."""

    exit_code = 1


class Overtaken(HullpaceError):
    """Somebody else has changed the same thing since it was read."""

    exit_code = 1


@dataclass(frozen=True, slots=True, order=True)
class Fault:
    """One thing wrong in one place of one file."""

    file: str
    where: str  # "row 7, options" or "people.L03.skills"
    found: str
    expected: str

    def __str__(self) -> str:
        """Give file, place, what was found and what was expected in one line."""
        return (
            f"{self.file}: {self.where}: found {self.found}; expected {self.expected}"
        )


class DataFaults(HullpaceError):
    """The data files are wrong; nothing was loaded.

    Attributes
    ----------
    faults : tuple of Fault
        Every fault found, in the order of the files.
    outcome : str
        What became of it, for the line that ends the list.
    """

    def __init__(
        self, faults: Iterable[Fault], outcome: str = "nothing was loaded"
    ) -> None:
        self.faults = tuple(faults)
        self.outcome = outcome
        super().__init__("\n".join(str(fault) for fault in self.faults))
