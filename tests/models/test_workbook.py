"""Workbooks that are written: text stays text, numbers stay numbers."""

from __future__ import annotations

from pathlib import Path

import pytest
from openpyxl import load_workbook

from models.workbook import write_workbook


def test_text_is_never_a_formula(tmp_path: Path) -> None:
    """Whatever a text begins with, the cell is of text."""
    texts = [
        "=1+1",
        "+1",
        "-1",
        "@x",
        "#N/A",
        "=HYPERLINK(1)",
        "http://x.test",
        "plain",
    ]
    path = tmp_path / "deep" / "out.xlsx"
    write_workbook({"one": [["head"], *([text] for text in texts)]}, path)
    sheet = load_workbook(path)["one"]
    cells = [row[0] for row in sheet.iter_rows(min_row=2)]
    assert [cell.value for cell in cells] == texts
    assert {cell.data_type for cell in cells} == {"s"}
    assert not any(cell.hyperlink for cell in cells)


def test_numbers_and_blanks(tmp_path: Path) -> None:
    """Numbers can be summed, nothing stays nothing, control characters are replaced."""
    path = tmp_path / "out.xlsx"
    write_workbook({"one": [["a", "b", "c", "d"], [-2, 2.5, None, "x\x07y"]]}, path)
    (row,) = load_workbook(path)["one"].iter_rows(min_row=2, values_only=True)
    assert row == (-2, 2.5, None, "x\ufffdy")


def test_whole_or_not_at_all(tmp_path: Path) -> None:
    """A workbook that cannot be written leaves nothing, and the older file stands."""
    path = tmp_path / "out.xlsx"
    write_workbook({"one": [["a"]]}, path)
    before = path.read_bytes()
    with pytest.raises(ValueError, match="Cannot convert"):
        write_workbook({"one": [[object()]]}, path)  # type: ignore[list-item]
    assert path.read_bytes() == before
    assert [one.name for one in tmp_path.iterdir()] == ["out.xlsx"]
