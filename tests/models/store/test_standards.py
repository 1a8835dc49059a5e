"""Accepting, refusing and ending standards in the store."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import pytest

from models.errors import Overtaken, UsageError
from models.loading.floor_entries import Draft
from models.recording.entries import FloorEntry
from models.store.decisions import loaded_book, read_decisions
from models.store.documents import Loaded
from models.store.loads import load
from models.store.log import Author
from models.store.plans import publish
from models.store.records import record
from models.store.standards import decide
from models.store.transactions import Store, read
from tests.models.store.conftest import ANN, BEN, NOON, little_yard, plan_of, with_order

PREP = ("skiff-16", "hull.prep")
WHY = Author("ben", NOON, "new wax")
FACTOR = 1.24


def four_molds() -> Loaded:
    """The little yard with three more boats, and a mold for each."""
    files = little_yard()
    for name in ("B-3", "B-4", "B-5"):
        files = with_order(files, name)
    yard = files.yard.yard
    mold = yard.molds[0]
    molds = (mold, *(replace(mold, id=f"M-{n}") for n in range(2, 6)))
    return replace(files, yard=replace(files.yard, yard=replace(yard, molds=molds)))


def said(boat: int, what: str, clock: str, hours: float | None = None) -> Draft:
    """An entry about the mold of a boat."""
    at = datetime.fromisoformat(f"2027-03-01T{clock}")
    entry = FloorEntry(f"B-{boat}", "hull.prep", what, at, hours, mold=f"M-{boat}")
    return Draft(entry, None, "floor.csv", f"row {boat}")


@pytest.fixture
def worked_on(store: Store) -> Store:
    """Four molds were prepared, each in about 4 h; the standard is 3.22 h."""
    files = four_molds()
    load(store, files, ANN, None)
    publish(store, plan_of(files), ANN, None)
    drafts = []
    for boat, hours in ((2, 4.1), (3, 3.9), (4, 4.0), (5, 4.0)):
        drafts += [said(boat, "start", "06:00"), said(boat, "finish", "10:00", hours)]
    record(store, drafts, ANN)
    return store


def prep_factors(store: Store) -> list[float]:
    """Factors of the book that is planned next."""
    model = loaded_book(store).models["skiff-16"]
    return [one.factor for one in model.standards if one.operation == "hull.prep"]


def test_an_accepted_standard_enters_the_next_plan(worked_on: Store) -> None:
    """It is kept once, with the boats behind it, and plans without it are refused."""
    made = decide(worked_on, "accepted", PREP, BEN, FACTOR)
    assert (made.number, made.new, made.decision.boats) == (1, True, 4)
    assert prep_factors(worked_on) == [FACTOR]
    again = decide(worked_on, "accepted", PREP, ANN, FACTOR)
    assert (again.number, again.new) == (1, False)
    old = plan_of(four_molds(), "old")
    with pytest.raises(Overtaken, match="accepted standards"):
        publish(worked_on, old, ANN, 1)
    new = {**old, "inputs": loaded_book(worked_on).sources}
    assert publish(worked_on, new, ANN, 1, 8).done


def test_another_figure_than_was_seen_is_refused(worked_on: Store) -> None:
    """Who decides on a figure that has changed is told the new one."""
    with pytest.raises(Overtaken, match=r"x 1\.24 from 4 boats is suggested by now"):
        decide(worked_on, "accepted", PREP, BEN, 1.3)
    with pytest.raises(UsageError, match="nothing is suggested for skiff-16"):
        decide(worked_on, "accepted", ("skiff-16", "final.rig"), BEN, 1.1)
    assert read(worked_on, read_decisions) == []


def test_a_refusal_and_an_end_need_a_reason(worked_on: Store) -> None:
    """Both stand beside what was accepted; nothing is removed."""
    with pytest.raises(UsageError, match="refused for a reason"):
        decide(worked_on, "refused", PREP, BEN, FACTOR)
    decide(worked_on, "refused", PREP, WHY, FACTOR)
    assert prep_factors(worked_on) == []
    with pytest.raises(UsageError, match="no standard of skiff-16"):
        decide(worked_on, "ended", PREP, WHY)
    decide(worked_on, "accepted", PREP, BEN, FACTOR)
    decide(worked_on, "ended", PREP, WHY)
    assert not decide(worked_on, "ended", PREP, WHY).new
    assert prep_factors(worked_on) == []
    verdicts = [one.verdict for one in read(worked_on, read_decisions)]
    assert verdicts == ["refused", "accepted", "ended"]


def test_a_standard_that_fits_no_shift_is_refused(store: Store) -> None:
    """What no crew finds time for in one go cannot be accepted."""
    files = four_molds()
    model = files.yard.models["skiff-16"]
    steps = tuple(
        replace(one, one_go=True, crew_max=1) if one.code == "hull.prep" else one
        for one in model.operations
    )
    models = {"skiff-16": replace(model, operations=steps)}
    files = replace(files, yard=replace(files.yard, models=models))
    load(store, files, ANN, None)
    publish(store, plan_of(files), ANN, None)
    for boat in (2, 3):
        record(store, [said(boat, "start", "06:00")], ANN)
        record(store, [said(boat, "finish", "23:00", 40.0)], ANN)
    with pytest.raises(UsageError, match="in one go; expected at most"):
        decide(store, "accepted", PREP, BEN, 12.42)
