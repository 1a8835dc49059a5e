"""Reads the cells of a workbook, as a program of its own with little it may take.

`models.loading.workbook` runs it: the workbook's bytes come on standard input, JSON
goes to standard output. A workbook may come from anywhere, so whatever it makes its
reader do happens here, in a process without files that ends after its share of time
and memory. It imports nothing of the project.
"""

from __future__ import annotations

import io
import json
import resource
import sys
import warnings
import zipfile
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from typing import Any

SECONDS = 20  # of computing
MEMORY_BYTES = 1 << 30
MOST_UNPACKED_BYTES = 64_000_000
MOST_RATIO = 100  # unpacked over packed, where it matters
SMALL_BYTES = 1_000_000  # unpacked; below, a ratio says nothing
MOST_ENTRIES = 200
MOST_ROWS = 5000
MOST_COLUMNS = 64
MOST_SHEETS = 20
TOO_LARGE = "a workbook of at most 5,000 rows and 64 columns a sheet, 64 MB unpacked"


class Refused(Exception):
    """The workbook is not read; place, what was found, what was expected."""

    def __init__(self, found: str, expected: str, where: str = "file") -> None:
        super().__init__(found)
        self.reply = [where, found, expected]


def main() -> int:
    """Read, and answer with sheets or with why not."""
    limit()
    content = sys.stdin.buffer.read()
    warnings.simplefilter("ignore")  # of styles and extensions, which do not matter
    try:
        answer: dict[str, Any] = {"sheets": read(content)}
    except Refused as refused:
        answer = {"fault": refused.reply}
    except MemoryError:
        answer = {"fault": ["file", "more than 1 GB to read", TOO_LARGE]}
    except Exception as error:
        # Damage shows in many ways; each is told as what it is, and nothing is read.
        found = f"a damaged workbook ({type(error).__name__})"
        answer = {"fault": ["file", found, "a workbook (.xlsx) that opens"]}
    json.dump(answer, sys.stdout)
    return 0


def limit() -> None:
    """Give up files, and what goes beyond the share of time and memory."""
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
    resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def read(content: bytes) -> list[dict[str, Any]]:
    """Give every sheet's name and its rows that are not blank, each with its number."""
    check_package(content)
    from openpyxl.reader.excel import ExcelReader

    reader = ExcelReader(
        io.BytesIO(content), read_only=True, data_only=False, keep_links=False
    )
    reader.read()
    missing = len(reader.parser.sheets) - len(reader.wb.sheetnames)
    if missing:
        raise Refused(f"{missing} sheets missing", "a workbook (.xlsx) that opens")
    sheets = reader.wb.worksheets
    if len(sheets) > MOST_SHEETS:
        raise Refused(f"{len(sheets)} sheets", f"at most {MOST_SHEETS}")
    return [{"name": one.title, "rows": list(rows_of(one))} for one in sheets]


def check_package(content: bytes) -> None:
    """Refuse what is no workbook, or would unpack to more than it may."""
    if content.startswith(b"\xd0\xcf\x11\xe0"):
        found = "an older or password-protected workbook"
        raise Refused(found, "a workbook saved as .xlsx, without a password")
    if not zipfile.is_zipfile(io.BytesIO(content)):
        raise Refused("content that is no workbook", "a workbook saved as .xlsx")
    with zipfile.ZipFile(io.BytesIO(content)) as package:
        entries = package.infolist()
        unpacked = sum(one.file_size for one in entries)
        if len(entries) > MOST_ENTRIES:
            raise Refused(f"{len(entries)} entries in the package", TOO_LARGE)
        if unpacked > MOST_UNPACKED_BYTES or (
            unpacked > SMALL_BYTES and unpacked > MOST_RATIO * len(content)
        ):
            raise Refused(f"{unpacked:,} bytes unpacked", TOO_LARGE)
        for one in entries:
            plain = package.read(one).replace(b"\0", b"")  # UTF-16 reads alike then
            if b"<!DOCTYPE" in plain or b"<!ENTITY" in plain:
                raise Refused("XML with declarations of its own", "none in a workbook")


def rows_of(sheet: Any) -> Iterator[list[Any]]:
    """Give the number and cells of each row that holds something."""
    sheet.reset_dimensions()  # what the file says of its size need not be true
    found = 0
    for number, row in enumerate(sheet.iter_rows(), 1):
        cells = [cell_of(one) for one in row]
        while cells and cells[-1] == "":
            cells.pop()
        if not cells:
            continue
        found += 1
        where = f"sheet {sheet.title}, row {number}"
        if found > MOST_ROWS:
            raise Refused(f"more than {MOST_ROWS:,} rows", TOO_LARGE, where)
        if len(cells) > MOST_COLUMNS:
            raise Refused(f"{len(cells):,} columns", TOO_LARGE, where)
        yield [number, cells]


def cell_of(cell: Any) -> str | list[str]:
    """A cell as it would stand in a CSV file, or what it must not be and why."""
    value, kind = cell.value, getattr(cell, "data_type", "n")
    if value is None:
        return ""
    if kind == "f":
        return ["a formula", "a value (paste it as a value)"]
    if kind == "e":
        return [f"'{value}', an error of a formula", "a value"]
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, datetime):
        value = (value + timedelta(milliseconds=500)).replace(microsecond=0)
        if value.time() == time(0):
            return value.date().isoformat()
        return value.isoformat(timespec="minutes" if value.second == 0 else "seconds")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, time):
        return value.isoformat(timespec="minutes")
    if isinstance(value, timedelta):
        return f"{value / timedelta(hours=1):g} h"
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        return str(int(value))
    return str(value).strip()


if __name__ == "__main__":
    sys.exit(main())
