"""Recording in a store, on both kinds of database."""

from __future__ import annotations

import sys
from concurrent.futures import ThreadPoolExecutor
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from models.errors import DataFaults, Overtaken, UsageError
from models.recording.entries import standing
from models.store.history import order_history
from models.store.loads import load
from models.store.plans import publish
from models.store.records import record, records
from models.store.soundness import faults
from models.store.transactions import Store, open_store
from tests.models.store.conftest import (
    ANN,
    BEN,
    draft,
    little_yard,
    plan_of,
    rows,
)

FINISH = draft("finish", "08:15")


def test_entries_are_kept_with_who_and_when(published: Store) -> None:
    """What was recorded is read back; the store stays whole."""
    done = record(published, [draft("hours", "07:00", hours=2.0), FINISH], ANN)
    assert done.numbers == (1, 2)
    first, second = records(published)
    assert (first.entry.hours, first.who, first.why) == (2.0, ANN.who, ANN.why)
    assert second.recorded_at == ANN.at
    assert faults(published) == []


def test_the_same_again_changes_nothing(published: Store) -> None:
    """Not a row is written, not even of the log."""
    record(published, [FINISH], ANN)
    before = rows(published)
    again = record(published, [FINISH, FINISH], BEN)
    assert (again.numbers, again.new) == ((1, 1), ())
    assert rows(published) == before


def test_all_or_nothing(published: Store) -> None:
    """A fault in the last entry keeps the first one out, too."""
    before = rows(published)
    with pytest.raises(DataFaults):
        record(published, [FINISH, draft("pause", "09:00")], ANN)
    assert rows(published) == before


def test_a_correction_stays_beside_what_it_corrects(published: Store) -> None:
    """Both are told in the history of the order; only one holds."""
    record(published, [FINISH], ANN)
    later = draft("finish", "09:00", corrects=1, note="misread")
    record(published, [later], BEN)
    assert standing(records(published)) == [later.entry]
    told = [one for one in order_history(published, "B-1") if one.source == "entry"]
    assert [one.number for one in told] == [1, 2]
    assert told[1].who == BEN.who
    assert told[1].details[-1] == "instead of entry 1"


def test_two_people_correct_the_same(published: Store) -> None:
    """The second is told who was first."""
    record(published, [FINISH], ANN)
    record(published, [draft("finish", "09:00", corrects=1)], ANN)
    with pytest.raises(Overtaken, match="entry 1 was corrected by ann"):
        record(published, [draft("finish", "10:00", corrects=1)], BEN)


def test_many_at_once(published: Store) -> None:
    """Writers at the same time lose nothing and give no number twice."""
    drafts = [draft("hours", f"07:{minute:02}", hours=0.1) for minute in range(8)]
    with ThreadPoolExecutor(4) as pool:
        done = list(pool.map(lambda one: record(published, [one], ANN), drafts))
    assert sorted(one.numbers[0] for one in done) == list(range(1, 9))
    assert faults(published) == []


def test_nothing_published(loaded: Store) -> None:
    """There is nothing to work to."""
    with pytest.raises(UsageError, match="no plan was published yet"):
        record(loaded, [FINISH], ANN)


def test_nothing_loaded(store: Store) -> None:
    """Nor anything to work on."""
    with pytest.raises(UsageError, match="nothing was loaded"):
        record(store, [FINISH], ANN)


def calls_to_record(path: Path, count: int) -> int:
    """How many functions Python calls while so many entries are recorded at once."""
    store = open_store(str(path / f"{count}.db"), create=True)
    load(store, little_yard(), ANN, None)
    publish(store, plan_of(little_yard()), ANN, None)
    first = datetime.fromisoformat("2027-03-01T07:00")
    minutes = [first + timedelta(minutes=number) for number in range(count)]
    drafts = [
        draft("hours", f"{at:%H:%M}", hours=0.001, remaining_hours=5.0)
        for at in minutes
    ]
    calls = 0

    def count_call(frame: object, event: str, argument: object) -> None:
        nonlocal calls
        calls += event == "call"

    sys.setprofile(count_call)
    try:
        record(store, drafts, ANN)
    finally:
        sys.setprofile(None)
    return calls


def test_twice_as_many_entries_are_twice_the_work(tmp_path: Path) -> None:
    """Work grows with the entries of a file, not with their square."""
    calls = [calls_to_record(tmp_path, count) for count in (100, 200, 400)]
    assert calls[2] - calls[1] < 2.2 * (calls[1] - calls[0])
