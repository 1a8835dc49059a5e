"""Writing workbooks: every text is stored as text, whatever it looks like."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

Value = str | int | float | None
_WIDEST = 60  # characters
_NARROWEST = 10


def write_workbook(sheets: Mapping[str, Sequence[Sequence[Value]]], path: Path) -> None:
    """Write sheets by name, the first row of each as its heading.

    The file is written whole or not at all. A text is never a formula, a link or an
    error, and control characters, which no workbook may hold, become U+FFFD.
    """
    from openpyxl import Workbook

    book = Workbook()
    book.remove(book.active)
    for name, rows in sheets.items():
        _fill(book.create_sheet(name), rows)
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, part = tempfile.mkstemp(dir=path.parent, prefix=path.name, suffix=".part")
    os.close(handle)
    try:
        book.save(part)
        Path(part).replace(path)
    except BaseException:
        Path(part).unlink(missing_ok=True)
        raise


def _fill(sheet: Any, rows: Sequence[Sequence[Value]]) -> None:
    from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE
    from openpyxl.styles import Font
    from openpyxl.utils import get_column_letter

    widths: dict[int, int] = {}
    for number, row in enumerate(rows, 1):
        for column, value in enumerate(row, 1):
            cell = sheet.cell(number, column)
            if isinstance(value, str):
                cell.value = ILLEGAL_CHARACTERS_RE.sub("\ufffd", value)
                cell.data_type = "s"  # also where it begins like a formula
            else:
                cell.value = value
            if number == 1:
                cell.font = Font(bold=True)
            widths[column] = max(widths.get(column, 0), len(str(value or "")))
    for column, width in widths.items():
        wide = min(max(width + 2, _NARROWEST), _WIDEST)
        sheet.column_dimensions[get_column_letter(column)].width = wide
    sheet.freeze_panes = "A2"
