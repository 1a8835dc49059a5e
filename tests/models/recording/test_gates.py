"""Gates: nothing that waits for a step goes on before its inspection has passed."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from models.orders import Book
from models.recording.checks import objections
from models.recording.entries import FloorEntry
from tests.models.recording.conftest import little_book, said

STEP = ("B-1", "hull.laminate")
DONE = said(*STEP, "finish", "1 08:15")
FAILED = said(*STEP, "gate", "3 08:00", result="fail", note="soft at the transom")
PASSED = said(*STEP, "gate", "3 08:30", result="pass")
DEMOLD = said("B-1", "hull.demold", "start", "3 09:00")
REWORK = said(*STEP, "rework", "3 08:45", hours=2.0, note="lay it up again")
REDONE = said(*STEP, "finish", "3 10:45")


@cache
def gated_book() -> Book:
    """The little yard with a gate at the end of the laminate."""
    book = little_book()
    model = book.models["skiff-16"]
    steps = tuple(
        replace(step, gate="surface hardness") if step.code == STEP[1] else step
        for step in model.operations
    )
    return replace(book, models={model.id: replace(model, operations=steps)})


def told(*entries: FloorEntry, book: Book | None = None) -> list[str]:
    """Objections as lines."""
    held = sorted(entries, key=lambda one: one.at)
    found = objections(book or gated_book(), held)
    return [f"{one.entry.what}, {one.column}: {one.found}; {one.expected}"
            for one in found]  # fmt: skip


def test_demold_after_a_pass() -> None:
    """The cure has ended and the gate was passed, the second time."""
    assert told(DONE, FAILED, PASSED, DEMOLD) == []


@pytest.mark.parametrize(
    ("results", "words"),
    [((), "no result yet"), ((FAILED,), "a fail (soft at the transom)")],
)
def test_demold_without_a_pass(results: tuple[FloorEntry, ...], words: str) -> None:
    """The cure alone does not do: a fail keeps the mold."""
    assert told(DONE, *results, DEMOLD) == [
        f"start, at: 'hull.demold' begun with {words} of the gate 'surface hardness' "
        "of 'hull.laminate'; a pass of it first"
    ]


def test_a_rework_asks_for_a_new_result() -> None:
    """What was passed before the work was done again does not count."""
    later = said("B-1", "hull.demold", "start", "5 10:45")
    (line,) = told(DONE, PASSED, REWORK, REDONE, later)
    assert "with no result yet" in line
    again = said(*STEP, "gate", "5 10:00", result="pass")
    assert told(DONE, PASSED, REWORK, REDONE, again, later) == []


CASES = {
    "before the step is done": (
        [said(*STEP, "gate", "1 08:00", result="pass"), DONE],
        "gate, what: gate at 2027-03-01 08:00, of work that is not done; its finish "
        "first",
    ),
    "no gate there": (
        [DONE, said("B-1", "hull.prep", "gate", "1 09:00", result="pass")],
        "gate, operation: 'hull.prep'; a step whose routing has a gate",
    ),
    "no result": (
        [DONE, said(*STEP, "gate", "1 09:00")],
        "gate, result: nothing; pass or fail",
    ),
    "a fail without a word": (
        [DONE, said(*STEP, "gate", "1 09:00", result="fail")],
        "gate, note: nothing; what was found",
    ),
    "a result of a finish": (
        [replace(DONE, result="pass")],
        "finish, result: pass; nothing but on a gate",
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_what_cannot_be_true(name: str) -> None:
    """Each is one line."""
    entries, expected = CASES[name]
    assert told(*entries) == [expected]
