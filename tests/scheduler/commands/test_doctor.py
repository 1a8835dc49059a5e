"""`hullpace doctor`."""

from __future__ import annotations

import importlib.metadata
from pathlib import Path

from tests.scheduler.commands.conftest import Hullpace


def test_versions_zone_and_yard(hullpace: Hullpace, yard: Path) -> None:
    """It prints what is installed, the zone and whether the yard loads."""
    ran = hullpace("doctor", "--yard", yard)
    assert ran.code == 0
    assert importlib.metadata.version("ortools") in ran.out
    assert "America/New_York" in ran.out
    assert "2 orders, no fault" in ran.out


def test_a_yard_with_a_fault(hullpace: Hullpace, yard: Path) -> None:
    """A yard that does not load ends with 2 and its faults."""
    (yard / "orders.csv").write_text("", "utf-8")
    ran = hullpace("doctor", "--yard", yard)
    assert ran.code == 2
    assert "orders.csv" in ran.err
