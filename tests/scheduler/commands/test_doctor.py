"""`hullpace doctor`."""

from __future__ import annotations

import importlib.metadata
import sqlite3
from contextlib import closing
from pathlib import Path

from tests.scheduler.commands.conftest import Hullpace


def test_versions_zone_and_yard(hullpace: Hullpace, yard: Path) -> None:
    """It prints what is installed, the zone and whether the yard loads."""
    ran = hullpace("doctor", "--yard", yard)
    assert ran.code == 0
    assert importlib.metadata.version("ortools") in ran.out
    assert "America/New_York" in ran.out
    assert "no fault" in ran.out
    assert "4 people, 1 mold, 1 place, 3 stations, 1 model" in ran.out
    assert (
        "2 orders, 1 of them promised; 1 arrival; 2 steps done and 1 begun" in ran.out
    )
    assert "yard.db: none yet" in ran.out


def test_a_store_is_counted_and_looked_through(hullpace: Hullpace, yard: Path) -> None:
    """What the store beside the yard holds is said, and that all of it is whole."""
    assert hullpace("load", "--yard", yard).code == 0
    assert hullpace("user", "set", "ann", "owner", "--yard", yard).code == 0
    ran = hullpace("doctor", "--yard", yard)
    assert ran.code == 0, ran.err
    assert "yard.db: no fault" in ran.out
    assert ran.lines[-1].strip() == "loads 1, orders 2, users 1, entries of the log 2"


def test_a_damaged_store_is_told(hullpace: Hullpace, yard: Path) -> None:
    """What was changed behind the store's back is one line, and the answer is no."""
    assert hullpace("load", "--yard", yard).code == 0
    with closing(sqlite3.connect(yard / "yard.db")) as store, store:
        store.execute("DROP TRIGGER order_versions_no_update")
        store.execute("UPDATE order_versions SET content = '{}' WHERE version = 1")
    ran = hullpace("doctor", "--yard", yard)
    assert ran.code == 1
    assert "yard.db: 2 faults" in ran.out
    assert "is not what was written." in ran.out


def test_a_yard_with_a_fault(hullpace: Hullpace, yard: Path) -> None:
    """A yard that does not load ends with 2 and its faults."""
    (yard / "orders.csv").write_text("", "utf-8")
    ran = hullpace("doctor", "--yard", yard)
    assert ran.code == 2
    assert "orders.csv" in ran.err
