"""`hullpace export`."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest
from openpyxl import load_workbook

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


def test_a_workbook_holds_the_same_tables(
    hullpace: Hullpace, planned: Path, tmp_path: Path
) -> None:
    """`--xlsx` writes one file with a sheet a table, row by row as the CSV files."""
    ran = hullpace("export", "--plan", planned, "--out", tmp_path, "--xlsx")
    assert (ran.code, ran.lines) == (0, [str(tmp_path / "tables.xlsx")])
    assert hullpace("export", "--plan", planned, "--out", tmp_path).code == 0
    book = load_workbook(tmp_path / "tables.xlsx")
    assert book.sheetnames == ["operations", "orders", "occupations", "people"]
    for sheet in book.worksheets:
        with (tmp_path / f"{sheet.title}.csv").open(encoding="utf-8") as file:
            rows = list(csv.reader(file))
        shown = list(sheet.iter_rows(values_only=True))
        assert len(shown) == len(rows)
        for cells, texts in zip(shown, rows):
            for cell, text in zip(cells, texts, strict=True):
                number = isinstance(cell, int | float)
                expected = pytest.approx(float(text)) if number else text or None
                assert cell == expected
