"""`hullpace export`."""

from __future__ import annotations

import csv
import json
from pathlib import Path

from tests.scheduler.commands.conftest import Hullpace


def test_the_tables_are_named_and_there(
    hullpace: Hullpace, planned: Path, tmp_path: Path
) -> None:
    """Each printed line is a file; the orders in it are those of the plan."""
    ran = hullpace("export", "--plan", planned, "--out", tmp_path / "tables")
    assert ran.code == 0
    assert all(Path(line).is_file() for line in ran.lines)
    with (tmp_path / "tables" / "orders.csv").open(encoding="utf-8", newline="") as f:
        rows = list(csv.DictReader(f))
    answer = json.loads(planned.read_text("utf-8"))["answer"]
    finishes = {one["order"]: one["finish"] for one in answer["orders"]}
    assert {row["order"]: row["finish"] for row in rows} == finishes
