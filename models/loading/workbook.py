"""Reading a workbook's sheets, in a process that may not take much.

A sheet's rows become cells of text as in a CSV file, and go through the same schemas.
Formulas are faults: what they come to is not for sure in the file.
"""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from models.loading.csv import Numbered, Unusable
from models.loading.faults import FaultLog, one_of, quoted

SUFFIX = ".xlsx"
IGNORED = "notes"
_CHILD = Path(__file__).with_name("workbook_child.py")
_SECONDS = 40.0  # of waiting; the child's own share of computing is less


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet's name as it stands there, and its rows that are not blank."""

    name: str
    rows: Numbered


def read_sheets(
    content: bytes,
    file: str,
    known: frozenset[str],
    log: FaultLog,
    *,
    child: Path = _CHILD,
    seconds: float = _SECONDS,
) -> dict[str, Sheet] | None:
    """Read a workbook's sheets by name, without capitals and with `_` for a space.

    Parameters
    ----------
    content : bytes
        The workbook.
    file : str
        Its name in faults.
    known : frozenset of str
        Sheets that are read; another one that is not empty is a fault, but `notes`.
    log : FaultLog
        Takes what is wrong.
    child : Path
        The program that reads.
    seconds : float
        After which it is ended.

    Returns
    -------
    dict or None
        None, with a fault, where the workbook could not be read.
    """
    answer = _ask(content, child, seconds)
    if answer is None:
        found = "a workbook that takes too long or too much memory to read"
        expected = "a workbook of at most 5,000 rows and 64 columns a sheet"
        log.add(file, "file", found, expected)
        return None
    if "fault" in answer:
        log.add(file, *answer["fault"])
        return None
    sheets: dict[str, Sheet] = {}
    for one in answer["sheets"]:
        name = one["name"].strip().casefold().replace(" ", "_")
        if name in sheets:
            where, found = f"sheet {one['name']}", f"{quoted(one['name'])} again"
            log.add(file, where, found, "each sheet once")
        elif name in known:
            rows = [(number, _cells(cells)) for number, cells in one["rows"]]
            sheets[name] = Sheet(one["name"], rows)
        elif one["rows"] and name != IGNORED:
            expected = one_of(name, known, "a sheet that is read")
            log.add(file, f"sheet {one['name']}", quoted(one["name"]), expected)
    return sheets


def _ask(content: bytes, child: Path, seconds: float) -> dict[str, Any] | None:
    """Run the child; None where it did not come to an end by itself."""
    command = [sys.executable, "-I", str(child)]
    try:
        done = subprocess.run(
            command,
            input=content,
            capture_output=True,
            timeout=seconds,
            env={"OPENBLAS_NUM_THREADS": "1", "LC_ALL": "C.UTF-8"},
            check=False,
        )
    except subprocess.TimeoutExpired:
        return None
    if done.returncode < 0 or not done.stdout:
        return None
    answer: dict[str, Any] = json.loads(done.stdout)
    return answer


def _cells(cells: list[str | list[str]]) -> list[str | Unusable]:
    return [one if isinstance(one, str) else Unusable(*one) for one in cells]
