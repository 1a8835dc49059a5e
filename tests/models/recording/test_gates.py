"""Gates: nothing that waits for a step goes on before its inspection has passed."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from models.orders import Book
from models.recording.checks import objections
from models.recording.entries import FloorEntry
from models.recording.gates import failed_gates
from models.recording.rework import with_rework
from models.routing import route
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


ASKED = said(
    *STEP, "gate", "3 08:00", result="fail", note="soft at the transom",
    rework_hours=6.0,
)  # fmt: skip
AGAIN = (STEP[0], "hull.laminate.rework1")
REPAIRED = (
    said(*AGAIN, "start", "3 09:00"),
    said(*AGAIN, "finish", "3 12:00", hours=6.0),
)
LATER = said("B-1", "hull.demold", "start", "5 12:00")


def test_rework_of_a_fail_is_a_step_of_its_own() -> None:
    """Its own cure ends and its own result passes before the demold."""
    passed = said(*AGAIN, "gate", "5 11:00", result="pass")
    assert told(DONE, ASKED, *REPAIRED, passed, LATER) == []
    (line,) = told(DONE, ASKED, *REPAIRED, LATER)
    assert "no result yet of the gate 'surface hardness' of 'hull.laminate.r" in line
    soon = said("B-1", "hull.demold", "start", "5 11:45")
    (line,) = told(DONE, ASKED, *REPAIRED, passed, soon)
    assert "2027-03-05 12:00 or later (cure after 'hull.laminate.rework1'" in line
    first, second = told(DONE, ASKED, DEMOLD)
    assert "no result yet of the gate" in second
    assert first.endswith("'hull.laminate.rework1' done first, as the routing says")


def test_rework_that_fails_again() -> None:
    """Another rework follows the first one."""
    failed = said(*AGAIN, "gate", "5 11:00", result="fail", note="soft",
                  rework_hours=2.0)  # fmt: skip
    second = said(STEP[0], "hull.laminate.rework2", "start", "5 12:00")
    assert told(DONE, ASKED, *REPAIRED, failed, second) == []


ASKED_CASES = {
    "a result of the step instead of the rework": (
        [ASKED, said(*STEP, "gate", "3 09:00", result="pass")],
        "gate, operation: pass of work to which 'hull.laminate.rework1' was added; the "
        "result of 'hull.laminate.rework1'",
    ),
    "hours of a pass": (
        [said(*STEP, "gate", "3 08:00", result="pass", rework_hours=2.0)],
        "gate, rework_hours: 2; nothing but on a gate that failed",
    ),
    "no hours": (
        [replace(ASKED, rework_hours=0.0)],
        "gate, rework_hours: 0; labor hours above 0",
    ),
    "a step without hours": (
        [replace(ASKED, rework_hours=None, rework_step="final.rig")],
        "gate, rework_step: 'final.rig'; rework_hours with it",
    ),
    "a step that this boat has not": (
        [replace(ASKED, rework_step="final.rigg")],
        "gate, rework_step: 'final.rigg'; an operation of this boat; did you mean "
        "'final.rig'?",
    ),
    "more than a shift in one go": (
        [replace(ASKED, rework_hours=60.0)],
        "gate, rework_hours: 20 h with a crew of 3, in one go; at most 8.5 h, the "
        "longest stretch on the calendar 'shop' (split it by ply with a bond window, "
        "or let more people on it)",
    ),
}


@pytest.mark.parametrize("name", ASKED_CASES)
def test_rework_that_cannot_be(name: str) -> None:
    """Each is one line."""
    entries, expected = ASKED_CASES[name]
    assert told(DONE, *entries) == [expected]


def test_what_is_said_of_failed_gates() -> None:
    """The rework comes first; when it has a result, the fail before is history."""

    def lines(*entries: FloorEntry) -> list[str]:
        book = with_rework(gated_book(), entries)
        routings = {
            one.order: route(book.models[one.model], one) for one in book.orders
        }
        return failed_gates(entries, routings)

    assert lines(DONE, ASKED) == [
        "B-1 hull.laminate: gate 'surface hardness' failed on 2027-03-03 08:00 (soft "
        "at the transom); 'hull.laminate.rework1' (6 h of rework) comes before the "
        "next result"
    ]
    passed = said(*AGAIN, "gate", "5 11:00", result="pass")
    assert lines(DONE, ASKED, *REPAIRED, passed) == []
    (line,) = lines(DONE, FAILED)
    assert line.endswith("hull.demold may not begin until it passes")
