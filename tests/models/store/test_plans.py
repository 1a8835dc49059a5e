"""Publishing plans."""

from __future__ import annotations

import pytest

from models.errors import Overtaken, UsageError
from models.store.known_entries import entries_source
from models.store.loads import load
from models.store.log import entries
from models.store.plans import history, newest, publish, read_plan
from models.store.records import record
from models.store.transactions import Store, read
from tests.models.store.conftest import (
    ANN,
    BEN,
    draft,
    little_yard,
    plan_of,
    with_order,
)

FIRST = plan_of(little_yard(), "first")
SECOND = plan_of(little_yard(), "second")
THIRD = plan_of(little_yard(), "third")


def test_a_plan_can_be_read_back(published: Store) -> None:
    """The published plan is what was published, with who, when and why."""
    found, document = read_plan(published)
    assert document == FIRST
    assert (found.number, found.load, found.who) == (1, 1, ANN.who)
    assert (found.at, found.why) == (ANN.at, ANN.why)


def test_the_same_plan_again_changes_nothing(published: Store) -> None:
    """A command that is sent twice has one effect."""
    before = read(published, entries)
    again = publish(published, dict(reversed(FIRST.items())), BEN, None)
    assert again.done
    assert again.number == 1
    assert read(published, entries) == before


def test_a_plan_is_replaced_by_who_knows_it(published: Store) -> None:
    """A second plan needs the number of the one that it was compared with."""
    refused = publish(published, SECOND, BEN, None)
    assert not refused.done
    assert refused.before is not None
    assert refused.before.number == 1
    assert read_plan(published)[1] == FIRST
    assert publish(published, SECOND, BEN, 1).number == 2
    assert read_plan(published)[1] == SECOND


def test_the_second_of_two_people_is_told(published: Store) -> None:
    """Who replaces a plan that another has replaced since is refused, with who did."""
    publish(published, SECOND, ANN, 1)
    with pytest.raises(Overtaken) as error:
        publish(published, THIRD, BEN, 1)
    told = str(error.value)
    assert "plan 2 is published by now, by ann" in told
    assert "hullpace diff 2 PLAN" in told
    assert read_plan(published)[1] == SECOND


def test_an_earlier_plan_can_be_published_again(published: Store) -> None:
    """Going back is a new publication; every one stays in the history."""
    publish(published, SECOND, ANN, 1)
    assert publish(published, FIRST, BEN, 2).number == 3
    assert [one.who for one in history(published)] == ["ann", "ann", "ben"]
    assert read_plan(published)[1] == FIRST
    assert read_plan(published, 2)[1] == SECOND


def test_a_plan_of_other_data_is_refused(published: Store) -> None:
    """A plan made from files that were loaded anew since is not published."""
    files = with_order(little_yard(), "B-9")
    load(published, files, ANN, None)
    with pytest.raises(Overtaken, match=r"other data than load 2: orders\.csv"):
        publish(published, SECOND, BEN, 1)
    assert publish(published, plan_of(files), BEN, 1).done


def test_nothing_is_published_before_the_first_load(store: Store) -> None:
    """A plan rests on what was loaded."""
    with pytest.raises(UsageError, match="nothing was loaded yet"):
        publish(store, FIRST, ANN, None)
    assert read(store, newest) is None


@pytest.mark.parametrize("number", [None, 4])
def test_a_plan_that_never_was(loaded: Store, number: int | None) -> None:
    """Asking for a plan that was not published is one clear line."""
    with pytest.raises(UsageError, match="was published in"):
        read_plan(loaded, number)
    with pytest.raises(UsageError, match="no plan was published yet"):
        publish(loaded, FIRST, ANN, 4)


def test_entries_that_a_plan_does_not_know(recorded: Store) -> None:
    """What the floor said since is in no plan: plan again, or say that it is known."""
    files = little_yard()
    with pytest.raises(Overtaken, match="entry 1 was recorded since"):
        publish(recorded, plan_of(files, "later"), ANN, 1)
    record(recorded, [draft("hours", "08:00", hours=1.0)], ANN)
    with pytest.raises(Overtaken, match="entries 1 to 2 were") as told:
        publish(recorded, plan_of(files, "later"), ANN, 1)
    assert "publish with --entries 2" in str(told.value)
    with pytest.raises(Overtaken, match="entry 2 was"):
        publish(recorded, plan_of(files, "later"), ANN, 1, 1)
    knows = read(recorded, entries_source)
    again = plan_of(files, "again")
    again["inputs"] = {**again["inputs"], **knows}
    assert publish(recorded, again, ANN, 1).done
    assert publish(recorded, plan_of(files, "later"), ANN, 2, 2).done
