"""Orders changed and withdrawn in a store."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from typing import Any

import pytest

from models.change_order import Wish
from models.errors import ChangeRefused, Overtaken, UsageError
from models.job_orders import job_order
from models.jobs import Job, JobStep
from models.loading.floor_entries import Draft
from models.orders import Book
from models.recording.entries import FloorEntry
from models.store.change_orders import (
    accept_change,
    accept_withdrawal,
    propose_change,
    propose_withdrawal,
)
from models.store.changes import changes_between
from models.store.documents import OrderRecord
from models.store.history import order_history
from models.store.loads import current, load, with_changed_work
from models.store.log import entries
from models.store.plans import publish
from models.store.records import record
from models.store.soundness import faults
from models.store.transactions import Store, read
from tests.models.store.conftest import (
    ANN,
    BEN,
    little_yard,
    plan_of,
    rows,
    with_order,
)


def said(step: str, what: str, at: str, **more: Any) -> Draft:
    """An entry about B-1; `at` as day of March and time."""
    day, clock = at.split()
    when = datetime.fromisoformat(f"2027-03-0{day} {clock}")
    return Draft(FloorEntry("B-1", step, what, when, **more), None, "", "")


def canvas(book: Book) -> Wish:
    """A canvas top instead of the hard top."""
    assert any(one.order == "B-1" for one in book.orders)
    return Wish(("canvas-top",), None)


def test_a_proposal_writes_nothing(loaded: Store) -> None:
    """It gives the book as it is and as it would be."""
    before = rows(loaded)
    found = propose_change(loaded, "B-1", canvas)
    assert rows(loaded) == before
    assert found.load == 1
    now, then = (
        {one.order: one.options for one in book.orders}
        for book in (found.now, found.then)
    )
    assert now["B-1"] == ("hard-top", "top-lights")
    assert then["B-1"] == ("canvas-top",)
    assert now["B-2"] == then["B-2"]


def test_a_change_is_kept_with_who_and_why(loaded: Store) -> None:
    """It is a new version of the order, of a load of its own, in log and history."""
    assert accept_change(loaded, "B-1", canvas, ANN, 1) == 2
    state = current(loaded)
    assert state.loaded is not None
    assert state.number == 2
    assert state.loaded.orders["B-1"].order.options == ("canvas-top",)
    (entry,) = (one for one in read(loaded, entries) if one.action == "order")
    assert (entry.who, entry.why) == ("ann", "the week's orders")
    assert entry.details == {"load": 2, "order": "B-1", "what": "changed"}
    told = order_history(loaded, "B-1")[-1]
    assert told.details == ("options: hard-top, top-lights → canvas-top",)
    assert faults(loaded) == []


def test_the_second_of_two_people_is_told(loaded: Store) -> None:
    """What Ben compared with is not there any more."""
    accept_change(loaded, "B-1", canvas, ANN, 1)
    before = rows(loaded)
    with pytest.raises(Overtaken) as told:
        accept_change(loaded, "B-1", lambda _: Wish((), None), BEN, 1)
    assert "since load 1, order B-1 changed; last by ann in load 2" in str(told.value)
    assert "Nothing was changed. See it as it is now" in str(told.value)
    with pytest.raises(Overtaken):
        accept_withdrawal(loaded, "B-1", BEN, 1)
    assert rows(loaded) == before
    assert accept_change(loaded, "B-2", lambda _: Wish((), None), BEN, 1) == 3


def test_a_plan_of_the_order_before_is_not_published(loaded: Store) -> None:
    """It was made from other data."""
    accept_change(loaded, "B-1", canvas, ANN, 1)
    with pytest.raises(Overtaken, match="order B-1"):
        publish(loaded, plan_of(little_yard()), ANN, None)
    files = current(loaded).loaded
    assert files is not None
    assert publish(loaded, plan_of(files), ANN, None).done


def test_what_the_floor_began_meanwhile_counts(published: Store) -> None:
    """Between the proposal and its acceptance, rigging is done."""
    propose_change(published, "B-1", canvas)
    drafts = [
        said("hull.laminate", "finish", "1 09:00"),
        said("hull.demold", "start", "3 09:00", place="Bay 1"),
        said("hull.demold", "finish", "3 12:00"),
        said("final.rig", "start", "3 12:30"),
        said("final.rig", "pause", "3 14:00", remaining_hours=4.0),
    ]
    record(published, drafts, ANN)
    before = rows(published)
    with pytest.raises(ChangeRefused, match="take off 'Fit the hard top'"):
        accept_change(published, "B-1", canvas, ANN, 1)
    assert rows(published) == before

    def with_hours(book: Book) -> Wish:
        return Wish(("canvas-top",), None, {"final.rig": 5.0})

    found = propose_change(published, "B-1", with_hours)
    assert found.changed is not None
    assert [one.code for one in found.changed.rework] == ["final.rig.change1"]
    accept_change(published, "B-1", with_hours, ANN, 1)
    # Files say nothing of added work: loading them again keeps it.
    state = current(published).loaded
    assert state is not None
    (stored,) = state.orders["B-1"].order.rework
    assert (stored.hours, stored.keeps_waits) == (5.0, True)
    files = with_order(little_yard(), "B-1", options=("canvas-top",))
    assert changes_between(state, with_changed_work(state, files)) == ()
    load(published, files, ANN, None)
    again = current(published).loaded
    assert again is not None
    assert again.orders["B-1"].order.rework == (stored,)


def test_an_order_not_begun_is_withdrawn(loaded: Store) -> None:
    """It leaves the book; its versions stay, and files with it want a word first."""
    found = propose_withdrawal(loaded, "B-2")
    assert [one.order for one in found.then.orders] == ["B-1"]
    assert accept_withdrawal(loaded, "B-2", ANN, 1) == 2
    state = current(loaded).loaded
    assert state is not None
    assert list(state.orders) == ["B-1"]
    assert order_history(loaded, "B-2")[-1].details == ("withdrawn",)
    again = load(loaded, little_yard(), BEN, None)
    assert not again.done
    assert [(one.id, one.what) for one in again.changes] == [("B-2", "added")]


def test_an_order_that_was_begun_stays(loaded: Store) -> None:
    """Its hull is in a mold, whoever wants the boat."""
    with pytest.raises(ChangeRefused, match=r"'hull\.prep' and 2 more begun since"):
        accept_withdrawal(loaded, "B-1", ANN, 1)


def test_what_is_not_there(loaded: Store) -> None:
    """One clear line each."""
    with pytest.raises(UsageError, match="no order 'B-9'"):
        propose_withdrawal(loaded, "B-9")


def test_a_job_has_no_options(loaded: Store) -> None:
    """Another job is changed where it stands, and may be withdrawn."""
    step = JobStep("polish", "floor", "laminate", 4.0, 1, 2)
    job = Job("J-1", "repair", (step,))
    record = OrderRecord(job_order(job, little_yard().yard.yard), job=job)
    files = little_yard()
    more = replace(files, orders={**files.orders, "J-1": record}, sources={"more": "1"})
    load(loaded, more, ANN, 1)
    with pytest.raises(UsageError, match=r"J-1 is no boat.*jobs.csv"):
        propose_change(loaded, "J-1", canvas)
    found = propose_withdrawal(loaded, "J-1")
    assert (found.now.jobs, found.then.jobs) == ((job,), ())
