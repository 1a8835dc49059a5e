"""Workbooks for tests, honest and hostile ones."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from openpyxl import Workbook

HEADS = [
    *("order", "customer_ref", "model", "options", "graphics", "wanted", "promised"),
    *("release", "weight", "dealer_ref", "note"),
]


def workbook(sheets: Mapping[str, Sequence[Sequence[Any]]]) -> bytes:
    """A workbook as a spreadsheet program would save it."""
    book = Workbook()
    book.remove(book.active)
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(list(row))
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def orders(*rows: Sequence[Any]) -> bytes:
    """A workbook of orders; blank cells may be left out at the end of a row."""
    return workbook({"orders": [HEADS, *rows]})


def changed(content: bytes, change: Callable[[str, bytes], bytes | None]) -> bytes:
    """The same package with entries changed, or left out where None comes back."""
    out = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(content)) as before,
        zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as after,
    ):
        for entry in before.infolist():
            body = change(entry.filename, before.read(entry))
            if body is not None:
                after.writestr(entry.filename, body)
    return out.getvalue()


def with_entries(content: bytes, extra: Mapping[str, bytes]) -> bytes:
    """The same package with more entries."""
    out = io.BytesIO(content)
    with zipfile.ZipFile(out, "a", zipfile.ZIP_DEFLATED) as package:
        for name, body in extra.items():
            package.writestr(name, body)
    return out.getvalue()
