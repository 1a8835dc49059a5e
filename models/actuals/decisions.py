"""Suggested standards that a yard accepted, refused or ended.

The newest decision about a step of a model holds. One that was accepted multiplies the
hours of the step for as long as the files give the step the same rates as then: whoever
changes a rate starts from that rate.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from models.actuals.estimates import Estimate
from models.boat import BoatModel, WorkLine
from models.orders import Book
from models.standards import StepStandard
from models.yard import Yard

ACCEPTED, REFUSED, ENDED = "accepted", "refused", "ended"
SOURCE = "accepted standards"  # among the inputs of a plan

Key = tuple[str, str]  # model and operation


@dataclass(frozen=True, slots=True)
class Decision:
    """What was decided about the standard of a step, on which figures.

    `basis` is a digest of the rates that the step had then.
    """

    model: str
    operation: str
    verdict: str  # accepted | refused | ended
    factor: float
    boats: int
    relative_error: float
    basis: str


@dataclass(frozen=True, slots=True)
class Standards:
    """Decisions as they hold now.

    `held` multiply hours; `outdated` were accepted for other rates than the files have
    now; `refused` is the newest refusal of each step.
    """

    held: dict[Key, Decision]
    outdated: dict[Key, Decision]
    refused: dict[Key, Decision]

    def factor(self, key: Key) -> float:
        """What the hours of a step are multiplied by now."""
        return self.held[key].factor if key in self.held else 1.0

    def suggested(self, found: Iterable[Estimate]) -> list[Estimate]:
        """Estimates that somebody should decide about.

        Those that differ from what holds by more than chance makes likely, unless they
        were refused and no boat has been finished since.
        """
        return [
            one
            for one in found
            if one.differs_from(self.factor((one.model, one.operation)))
            and not self._is_refused(one)
        ]

    def _is_refused(self, one: Estimate) -> bool:
        before = self.refused.get((one.model, one.operation))
        return before is not None and one.boats <= before.boats


def standards_of(book: Book, decisions: Sequence[Decision]) -> Standards:
    """What decisions, oldest first, come to at the rates of a book."""
    accepted: dict[Key, Decision] = {}
    refused: dict[Key, Decision] = {}
    for one in decisions:
        key = (one.model, one.operation)
        if one.verdict == ACCEPTED:
            accepted[key] = one
        elif one.verdict == ENDED:
            accepted.pop(key, None)
        else:
            refused[key] = one
    held = {key: one for key, one in accepted.items() if _still_holds(book, one)}
    outdated = {key: one for key, one in accepted.items() if key not in held}
    return Standards(held, outdated, refused)


def with_standards(book: Book, decisions: Sequence[Decision]) -> Book:
    """The book with the hours of what was accepted, and a source that says so."""
    held = standards_of(book, decisions).held
    if not held:
        return book
    rows = sorted((*key, one.factor, one.boats) for key, one in held.items())
    models = {
        name: replace(
            model,
            standards=tuple(
                StepStandard(operation, factor, boats)
                for of, operation, factor, boats in rows
                if of == name
            ),
        )
        for name, model in book.models.items()
    }
    sources = {**(book.sources or {}), SOURCE: _digest(rows)}
    return replace(book, models=models, sources=sources)


def basis_of(model: BoatModel, yard: Yard, operation: str) -> str:
    """A digest of all rates and quantities from which a step's hours come."""
    own = [one for one in model.operations if one.code == operation]
    share = yard.allowances.get
    return _digest(
        [
            [[_line(one, model) for one in step.work] for step in own],
            [share(step.allowance or "") for step in own],
            sorted(
                [option.id, _line(added.line, model)]
                for option in model.options
                for added in option.adds
                if added.operation == operation
            ),
            [] if own else _graphics(model, yard, operation),
            [model.learning.curve, model.learning.rate, model.learning.rates_of_boat]
            if model.learning
            else [],
        ]
    )


def _still_holds(book: Book, one: Decision) -> bool:
    model = book.models.get(one.model)
    return model is not None and basis_of(model, book.yard, one.operation) == one.basis


def _line(line: WorkLine, model: BoatModel) -> list[object]:
    quantity = None if line.quantity is None else model.quantities.get(line.quantity)
    return [quantity, line.factor, line.hours_per_unit]


def _graphics(model: BoatModel, yard: Yard, operation: str) -> list[list[object]]:
    """Rates of the layouts to which a step of a color belongs."""
    part = operation.partition(".")[0]
    return [
        [
            one.id,
            one.mask_hours_per_m,
            one.spray_hours_per_m2,
            one.spray_fixed_hours,
            one.unmask_hours_per_m,
            yard.allowances.get(one.allowance or ""),
        ]
        for one in model.graphics
        if one.part == part
    ]


def _digest(value: object) -> str:
    return hashlib.sha256(json.dumps(value).encode("utf-8")).hexdigest()
