"""Users in a store, on both kinds of database."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from models.errors import ChangeRefused, NotAllowed, Overtaken, UsageError
from models.store.backup import backup, restore
from models.store.loads import load
from models.store.plans import publish
from models.store.records import record
from models.store.soundness import faults
from models.store.transactions import Store
from models.store.users import Kept, keep_user, users_of
from models.users import User
from tests.models.store.conftest import (
    ANN,
    BEN,
    draft,
    little_yard,
    plan_of,
    rows,
    with_order,
)


@pytest.fixture
def staffed(published: Store) -> Store:
    """The little yard with Ann as owner and Ben on the floor."""
    keep_user(published, "ann", "owner", ANN, None)
    keep_user(published, "ben", "floor", ANN, None)
    return published


def test_roles_hold_for_every_writer(staffed: Store) -> None:
    """The floor records and does nothing else; nothing is written by who may not."""
    record(staffed, [draft("hours", "07:00", hours=1.0)], BEN)
    before = rows(staffed)
    files = with_order(little_yard(), "B-9")
    for attempt in (
        lambda: load(staffed, files, BEN, None),
        lambda: publish(staffed, plan_of(little_yard(), "x"), BEN, 1, 1),
        lambda: keep_user(staffed, "ben", "owner", BEN, 1),
    ):
        with pytest.raises(NotAllowed, match="'ben' has the role floor"):
            attempt()
    assert rows(staffed) == before
    assert load(staffed, files, ANN, None).done


def test_the_first_user_is_an_owner(store: Store) -> None:
    """Or nobody could make the next; nor may the last owner go."""
    with pytest.raises(ChangeRefused, match="there must be an owner"):
        keep_user(store, "ben", "floor", BEN, None)
    keep_user(store, "ann", "owner", ANN, None)
    for role in ("sales", None):
        with pytest.raises(ChangeRefused, match="there must be an owner"):
            keep_user(store, "ann", role, ANN, 1)
    assert users_of(store) == {"ann": User("ann", 1, "owner", True)}


def test_a_change_names_the_version_that_it_replaces(staffed: Store) -> None:
    """Without it, or with an old one, nothing changes; every version is kept."""
    with pytest.raises(UsageError, match="to change that, --after 1"):
        keep_user(staffed, "ben", "planner", ANN, None)
    assert keep_user(staffed, "ben", None, ANN, 1).user.active is False
    with pytest.raises(NotAllowed, match="not a user any more"):
        record(staffed, [draft("hours", "07:00", hours=1.0)], BEN)
    with pytest.raises(Overtaken, match="in version 2 by now, not 1"):
        keep_user(staffed, "ben", "planner", ANN, 1)
    assert keep_user(staffed, "ben", "planner", ANN, 2) == Kept(
        User("ben", 3, "planner", True), True
    )
    assert len(rows(staffed)["users"]) == 4
    assert faults(staffed) == []


def test_the_same_again_changes_nothing(staffed: Store) -> None:
    """Not even by somebody else, and not a row."""
    before = rows(staffed)
    assert not keep_user(staffed, "ben", "floor", ANN, None).new
    assert rows(staffed) == before


def test_an_unknown_user_is_not_changed(staffed: Store) -> None:
    """A name that nobody has cannot end, nor have a version."""
    for role, after in ((None, None), ("sales", 1)):
        with pytest.raises(UsageError, match="'joe' is not a user of"):
            keep_user(staffed, "joe", role, ANN, after)


def test_one_of_eight_changes_a_user(staffed: Store) -> None:
    """All have seen the same version; one wins, the others are told."""

    def change(number: int) -> str:
        role = ("planner", "sales")[number % 2]
        try:
            return "won" if keep_user(staffed, "ben", role, ANN, 1).new else "same"
        except (Overtaken, UsageError) as error:
            return type(error).__name__

    with ThreadPoolExecutor(8) as pool:
        ends = list(pool.map(change, range(8)))
    assert ends.count("won") == 1
    assert set(ends) <= {"won", "same", "Overtaken"}
    assert users_of(staffed)["ben"].version == 2


def test_only_an_owner_restores(staffed: Store, tmp_path: Path) -> None:
    """By the users of before, even where the backup has none."""
    backup(staffed, tmp_path / "one.db")
    with pytest.raises(NotAllowed, match="may not restore a backup"):
        restore(staffed, tmp_path / "one.db", BEN, tmp_path / "aside.db")
    restore(staffed, tmp_path / "one.db", ANN, tmp_path / "aside.db")
    assert faults(staffed) == []
