"""What entries must keep."""

from __future__ import annotations

import pytest

from models.recording.checks import new_objections, objections
from models.recording.entries import FloorEntry
from tests.models.recording.conftest import little_book, said

DONE = said("B-1", "hull.laminate", "finish", "1 08:15")
PREP = said("B-2", "hull.prep", "start", "8 06:00", mold="H16-1")


def told(*entries: FloorEntry) -> list[str]:
    """Objections as lines."""
    held = sorted(entries, key=lambda one: one.at)
    return [
        f"{one.entry.operation}, {one.column}: {one.found}; {one.expected}"
        for one in objections(little_book(), held)
    ]


def test_sound_entries() -> None:
    """A boat on its way from the mold, and the next one into it."""
    assert told(
        DONE,
        said("B-1", "hull.demold", "start", "3 08:15", people=("LM-01", "LM-02")),
        said("B-1", "hull.demold", "finish", "3 11:15", hours=9.0),
        said("B-2", "hull.prep", "start", "3 11:15", mold="H16-1"),
    ) == []  # fmt: skip


CASES = {
    "unknown order": (
        [said("B-9", "hull.prep", "start", "2 06:00")],
        "hull.prep, order: 'B-9'; an order that was loaded; did you mean 'B-2'?",
    ),
    "unknown operation": (
        [said("B-1", "hull.demolt", "start", "2 06:00")],
        "hull.demolt, operation: 'hull.demolt'; an operation of this boat; did you "
        "mean 'hull.demold'?",
    ),
    "finish before start": (
        [said("B-1", "hull.laminate", "finish", "1 08:15"),
         said("B-1", "final.rig", "finish", "2 06:00")],
        "final.rig, what: finish at 2027-03-02 06:00, not begun; a start before it",
    ),
    "begun twice": (
        [said("B-1", "hull.laminate", "start", "1 06:00"),
         said("B-1", "hull.laminate", "start", "1 07:00")],
        "hull.laminate, what: start at 2027-03-01 07:00, begun already at "
        "2027-03-01 06:00; a pause before it",
    ),
    "demold before its release": (
        [DONE, said("B-1", "hull.demold", "start", "3 08:00")],
        "hull.demold, at: 'hull.demold' begun at 2027-03-03 08:00; "
        "2027-03-03 08:15 or later (cure after 'hull.laminate' ended)",
    ),
    "before what it waits for": (
        [said("B-1", "hull.demold", "start", "3 08:00")],
        "hull.demold, at: 'hull.demold' begun at 2027-03-03 08:00; "
        "'hull.laminate' done first, as the routing says",
    ),
    "a mold that is taken": (
        [PREP],
        "hull.prep, mold: 'H16-1', which B-1 holds; a mold that is free",
    ),
    "nobody of that name": (
        [said("B-1", "hull.laminate", "people", "1 07:00", people=("LM-9",))],
        "hull.laminate, people: 'LM-9'; a person of the yard; did you mean 'LM-03'?",
    ),
    "without the skill": (
        [said("B-1", "hull.laminate", "people", "1 07:00", people=("RG-01",))],
        "hull.laminate, people: 'RG-01', who has not; people with the skill "
        "'laminate'",
    ),
    "nothing left": (
        [said("B-1", "hull.laminate", "hours", "1 08:00", hours=4.5)],
        "hull.laminate, remaining_hours: 4.5 of 14.49 h, and no end; the labor hours "
        "that remain, or a finish",
    ),
    "rework without hours": (
        [said("B-1", "hull.laminate", "rework", "1 08:00", note="dry spot")],
        "hull.laminate, hours: nothing; labor hours above 0",
    ),
    "scrap without a word": (
        [said("B-1", "hull.laminate", "scrap", "1 08:00")],
        "hull.laminate, note: nothing; what it is, and why",
    ),
    "a pause of done work": (
        [DONE, said("B-1", "hull.laminate", "pause", "1 09:00")],
        "hull.laminate, what: pause at 2027-03-01 09:00, of work that is done; work "
        "under way",
    ),
    "rework of a demolded part": (
        [DONE,
         said("B-1", "hull.demold", "start", "3 08:15"),
         said("B-1", "hull.demold", "finish", "3 12:00"),
         said("B-1", "hull.demold", "rework", "3 13:00", hours=2.0, note="scratch")],
        "hull.demold, what: rework at 2027-03-03 13:00, after its part has left; a "
        "rework of the step that is not",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_what_cannot_be_true(name: str) -> None:
    """Each contradiction is one line that says what was expected."""
    entries, expected = CASES[name]
    assert told(*entries) == [expected]


def test_rework_when_what_follows_has_begun() -> None:
    """Work that others stand on cannot be opened again."""
    lines = told(
        DONE,
        said("B-1", "hull.demold", "start", "3 08:15"),
        said("B-1", "hull.laminate", "rework", "3 09:00", hours=2.0, note="dry spot"),
    )
    assert len(lines) == 1
    assert lines[0].endswith("'hull.laminate' done first, as the routing says")


def test_faults_of_before_do_not_block() -> None:
    """Only what an entry brings is held against it."""
    old = said("B-9", "hull.prep", "start", "1 06:00")
    assert new_objections(little_book(), [old], [old, DONE]) == []
    assert len(new_objections(little_book(), [old], [old, DONE, PREP])) == 1
