"""Bytes to text: UTF-8 only, and each doubt is a fault with a place."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest

from models.loading.faults import FaultLog
from models.loading.files import SourceFiles, decode


def one_fault(content: bytes) -> tuple[str, str]:
    """Decode; give place and found of the one fault."""
    log = FaultLog()
    assert decode(content, "a.csv", log) is None
    assert log.count == 1
    with pytest.raises(Exception, match=r"a\.csv") as raised:
        log.raise_if_any()
    fault = raised.value.faults[0]  # type: ignore[attr-defined]
    return fault.where, fault.found


def test_byte_order_mark() -> None:
    """A byte-order mark of UTF-8 is accepted and is not part of the text."""
    log = FaultLog()
    assert decode(b"\xef\xbb\xbforder\n", "a.csv", log) == "order\n"
    assert log.count == 0


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-16-be", "utf-32"])
def test_wide_encodings(encoding: str) -> None:
    """Every wide encoding is named as such, with or without a mark."""
    where, found = one_fault("order,model\n".encode(encoding))
    assert (where, found) == ("file", "UTF-16 or binary content")


def test_other_encoding_has_a_line() -> None:
    """A byte that is not UTF-8 is named with its line."""
    where, found = one_fault("a\nb\nFjällräven\n".encode("latin-1"))
    assert where == "line 3"
    assert "0xE4" in found


def test_late_null() -> None:
    """A null character far into a file is a fault with its line."""
    content = b"a" * 500 + b"\n\0"
    assert one_fault(content) == ("line 2", "a null character")


@pytest.mark.parametrize("content", [b"", b"\xef\xbb\xbf", b" \r\n\t\n"])
def test_empty(content: bytes) -> None:
    """A file of nothing, or of white space, is empty."""
    assert one_fault(content) == ("file", "an empty file")


def test_hash_and_name(tmp_path: Path) -> None:
    """A file is known by its name relative to the yard, and by its SHA-256."""
    (tmp_path / "boats").mkdir()
    (tmp_path / "boats" / "a.toml").write_bytes(b"x = 1\n")
    files = SourceFiles(tmp_path, FaultLog())
    assert files.text(tmp_path / "boats" / "a.toml") == "x = 1\n"
    assert files.hashes == {"boats/a.toml": hashlib.sha256(b"x = 1\n").hexdigest()}


def test_missing_and_unreadable(tmp_path: Path) -> None:
    """A missing file and a folder in its place are faults, not tracebacks."""
    log = FaultLog()
    files = SourceFiles(tmp_path, log)
    (tmp_path / "orders.csv").mkdir()
    assert files.text(tmp_path / "yard.toml") is None
    assert files.text(tmp_path / "orders.csv") is None
    assert log.count == 2


def test_too_large(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file beyond any order book is refused before it is read."""
    monkeypatch.setattr("models.loading.files._LARGEST", 10)
    log = FaultLog()
    (tmp_path / "orders.csv").write_text("order,model,options\n", encoding="utf-8")
    assert SourceFiles(tmp_path, log).text(tmp_path / "orders.csv") is None
    assert log.count == 1
