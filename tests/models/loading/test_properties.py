"""Whatever the files hold, loading gives a book or faults: never anything else."""

from __future__ import annotations

import math
import shutil
import tempfile
import tomllib
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, datetime, time
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from models.errors import DataFaults, Fault
from models.loading import load_book
from tests.models.loading.conftest import BROKEN

CSV_FILES = ("orders.csv", "in_hand.csv", "arrivals.csv", "locks.csv")
TOML_FILES = ("yard.toml", "boats/skiff-16.toml")
FILES = CSV_FILES + TOML_FILES

NASTY = st.sampled_from(
    [
        *("", " ", "=1+1", "1,5", "1e999", "nan", "-1", "0", "9" * 40, "٣"),
        *("2027-02-29", "2027-03-01", "9999-12-31", "2027-02-26T06:00", "T"),
        *("0001-01-01T00:00", "2027-03-14T02:30", "a;b", ";;", '"', "<b>", "x/y"),
        *("\u202e", "é", "\x00", "B-1", "B-2", "skiff-16", "hull.prep", "final.rig"),
        *("LM-01", "H16-1", "Bay 1", "done"),
    ]
)


@contextmanager
def changed(file: str, content: bytes) -> Iterator[Path]:
    """Give a copy of the sound yard in which one file holds something else."""
    with tempfile.TemporaryDirectory() as folder:
        yard = Path(folder) / "yard"
        shutil.copytree(BROKEN / "base", yard)
        (yard / file).write_bytes(content)
        yield yard


def faults_of(file: str, content: bytes) -> tuple[Fault, ...]:
    """Load a yard with one changed file; anything but faults or a book escapes."""
    faults: tuple[Fault, ...] = ()
    with changed(file, content) as yard:
        try:
            load_book(yard)
        except DataFaults as error:
            faults = error.faults or (Fault("", "", "", ""),)
        for fault in faults:
            assert (yard / fault.file).is_file()
            assert fault.where
            assert fault.found
            assert fault.expected
            assert len(str(fault).splitlines()) == 1
    return faults


def cells_of(file: str) -> list[list[str]]:
    """Split one of the sound CSV files, which have no quotes."""
    text = (BROKEN / "base" / file).read_text(encoding="utf-8")
    return [line.split(",") for line in text.splitlines()]


@st.composite
def near_csv(draw: st.DrawFn, file: str) -> bytes:
    """Draw a sound CSV file with some cells, rows or separators changed."""
    rows = cells_of(file)
    for _ in range(draw(st.integers(1, 4))):
        row = draw(st.sampled_from(rows))
        index = draw(st.integers(0, max(len(row) - 1, 0)))
        change = draw(st.sampled_from(["cell", "cell", "cell", "drop", "add", "again"]))
        if change == "cell" and row:
            row[index] = draw(NASTY | st.text(max_size=8))
        elif change == "drop" and row:
            del row[index]
        elif change == "add":
            row.insert(index, draw(NASTY))
        else:
            rows.append(list(row))
    ending = draw(st.sampled_from(["\n", "\r\n", "\r"]))
    return ending.join(",".join(row) for row in rows).encode("utf-8", "surrogatepass")


def paths(value: Any, at: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """List the places of a nested document."""
    if at:
        yield at
    items = value.items() if isinstance(value, dict) else ()
    if isinstance(value, list):
        items = enumerate(value)
    for key, inner in items:
        yield from paths(inner, (*at, key))


def toml_of(value: Any) -> str:
    """Write a TOML value on one line."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float) and not math.isfinite(value):
        return "nan" if math.isnan(value) else "inf" if value > 0 else "-inf"
    if isinstance(value, datetime | date | time):
        return value.isoformat()
    if isinstance(value, str):
        escaped = (f"\\U{ord(c):08X}" if not c.isalnum() else c for c in value)
        return f'"{"".join(escaped)}"'
    if isinstance(value, list):
        return f"[{', '.join(map(toml_of, value))}]"
    if isinstance(value, dict):
        pairs = (f"{toml_of(key)} = {toml_of(one)}" for key, one in value.items())
        return f"{{ {', '.join(pairs)} }}"
    return str(value)


LEAVES = (
    NASTY
    | st.integers(-(10**20), 10**20)
    | st.floats()
    | st.booleans()
    | st.dates()
    | st.datetimes()
    | st.times()
    | st.lists(st.integers(0, 3), max_size=3)
    | st.dictionaries(st.sampled_from(["id", "slots", "x"]), st.integers(), max_size=2)
)


@st.composite
def near_toml(draw: st.DrawFn, file: str) -> bytes:
    """Draw a sound TOML file with some keys changed, dropped, doubled or added."""
    text = (BROKEN / "base" / file).read_text(encoding="utf-8")
    document: dict[str, Any] = tomllib.loads(text)
    for _ in range(draw(st.integers(1, 3))):
        *above, last = draw(st.sampled_from(list(paths(document))))
        holder: Any = document
        for key in above:
            holder = holder[key]
        change = draw(st.sampled_from(["value", "value", "drop", "again", "key"]))
        if change == "value":
            holder[last] = draw(LEAVES)
        elif change == "drop":
            del holder[last]
        elif isinstance(holder, list):
            holder.append(holder[last])
        else:
            holder[draw(st.sampled_from(["nmae", "overtime", "id", "é"]))] = holder[
                last
            ]
        if not document:
            break
    lines = (f"{toml_of(key)} = {toml_of(value)}" for key, value in document.items())
    return "\n".join(lines).encode()


@pytest.mark.parametrize("file", FILES)
@settings(deadline=None, max_examples=25)
@given(content=st.binary(max_size=200))
def test_any_bytes(file: str, content: bytes) -> None:
    """Any bytes at all in any file give faults with a place, or load."""
    faults_of(file, content)


@pytest.mark.parametrize("file", FILES)
@settings(deadline=None, max_examples=25)
@given(text=st.text(max_size=200))
def test_any_text(file: str, text: str) -> None:
    """Any text in any file gives faults with a place, or loads."""
    faults_of(file, text.encode("utf-8", "surrogatepass"))


@pytest.mark.parametrize("file", CSV_FILES)
@settings(deadline=None, max_examples=80)
@given(data=st.data())
def test_near_rows(file: str, data: st.DataObject) -> None:
    """Rows that are almost right give faults with a place, or load."""
    faults_of(file, data.draw(near_csv(file)))


@pytest.mark.parametrize("file", TOML_FILES)
@settings(deadline=None, max_examples=120)
@given(data=st.data())
def test_near_documents(file: str, data: st.DataObject) -> None:
    """A yard or model that is almost right gives faults with a place, or loads."""
    faults_of(file, data.draw(near_toml(file)))


@pytest.mark.parametrize("file", TOML_FILES)
def test_rewriting_changes_nothing(file: str) -> None:
    """The documents that are changed here load before they are changed."""
    text = (BROKEN / "base" / file).read_text(encoding="utf-8")
    document = tomllib.loads(text)
    lines = (f"{toml_of(key)} = {toml_of(value)}" for key, value in document.items())
    assert faults_of(file, "\n".join(lines).encode()) == ()


@pytest.mark.slow
@pytest.mark.parametrize("file", FILES)
@settings(deadline=None, max_examples=2000)
@given(data=st.data())
def test_near_files_long(file: str, data: st.DataObject) -> None:
    """The same with many more examples a file: 10,000 over all and more."""
    near = near_csv if file in CSV_FILES else near_toml
    faults_of(file, data.draw(near(file)))
