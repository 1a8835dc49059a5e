"""Seeing that a store is whole."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest
from sqlalchemy import text

from models.store.guards import lift_guard
from models.store.loads import load
from models.store.log import append
from models.store.plans import publish
from models.store.soundness import faults
from models.store.transactions import Store, open_store, write
from tests.models.store.conftest import ANN, BEN, little_yard, plan_of, with_order


def test_a_store_in_use_is_sound(published: Store) -> None:
    """What the program writes has no fault."""
    files = with_order(little_yard(), "B-9")
    load(published, files, BEN, None)
    publish(published, plan_of(files), BEN, 1)
    assert faults(published) == []


@pytest.mark.parametrize(
    ("table", "statement", "told"),
    [
        ("order_versions", "UPDATE order_versions SET content = 'x'", "of order B-1"),
        ("order_versions", "UPDATE order_versions SET version = 2", "no version 1"),
        ("yard_versions", "UPDATE yard_versions SET content = '{}'", "of the yard"),
        ("floor_entries", "UPDATE floor_entries SET content = '{}'", "the floor"),
        ("floor_entries", "DELETE FROM floor_entries", "floor_entries do not agree"),
        ("reservations", "UPDATE reservations SET content = '{}'", "Reservation"),
        ("reservations", "DELETE FROM reservations", "reservations do not agree"),
        ("standards", "UPDATE standards SET content = '{}'", "on a standard"),
        ("jobs", "UPDATE jobs SET content = '{}'", "Job 1 is not"),
        ("jobs", "UPDATE jobs SET version = 2", "Job 1 has no version 1"),
        ("plans", "UPDATE plans SET content = {blob}", "Plan "),
        ("publications", "DELETE FROM publications", "publications do not agree"),
    ],
)
def test_damage_is_told(full: Store, table: str, statement: str, told: str) -> None:
    """A changed document, a missing version or row is a sentence."""
    sqlite = full.address.file is not None
    blob = "x'00'" if sqlite else r"'\x00'::bytea"
    write(full, lambda c: lift_guard(c, table))
    write(full, lambda c: c.execute(text(statement.replace("{blob}", blob))))
    assert any(told in one for one in faults(full)), faults(full)


def test_an_entry_without_its_rows_is_told(published: Store) -> None:
    """Half of a transaction would be seen."""
    write(published, lambda c: append(c, BEN, "load", {}))
    assert faults(published) == ["Entry 3 of the log and the loads do not agree."]


def test_a_damaged_file_is_told(tmp_path: Path) -> None:
    """A row that leads nowhere in a file of SQLite is seen."""
    path = tmp_path / "yard.db"
    load(open_store(str(path), create=True), little_yard(), ANN, None)
    with sqlite3.connect(path) as other:
        other.execute("DROP TRIGGER yard_versions_no_delete")
        other.execute("DELETE FROM yard_versions")
    assert any("yard_versions" in one for one in faults(open_store(str(path))))
