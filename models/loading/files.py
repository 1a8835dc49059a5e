"""Reading a file's bytes and text, with every doubt about its encoding as a fault."""

from __future__ import annotations

import hashlib
import os
from pathlib import Path

from models.loading.faults import FaultLog, one_line

_LARGEST = 50_000_000  # bytes; an order book of 10,000 boats is about a tenth of it
_WIDE_MARKS = (b"\xff\xfe", b"\xfe\xff")
_MARK = b"\xef\xbb\xbf"  # byte-order mark of UTF-8, written by spreadsheets


class SourceFiles:
    """Reads files below and beside a yard and remembers what was in them."""

    def __init__(self, root: Path, log: FaultLog) -> None:
        self._root = root
        self._log = log
        self.hashes: dict[str, str] = {}

    def name(self, path: Path) -> str:
        """Name a file to the user: from the yard, or as it was given if outside."""
        inside = self._from_yard(path)
        return one_line(path.as_posix()) if inside.startswith("../") else inside

    def _from_yard(self, path: Path) -> str:
        """Name a file relative to the yard, with forward slashes."""
        return one_line(Path(os.path.relpath(path, self._root)).as_posix())

    def text(self, path: Path) -> str | None:
        """Read a file's text; None, with a fault, where it has none."""
        content = self.content(path)
        if content is None:
            return None
        return decode(content, self.name(path), self._log)

    def content(self, path: Path) -> bytes | None:
        """Read a file's bytes; None, with a fault, where it cannot be read."""
        name = self.name(path)
        self._log.open(name)
        try:
            if path.stat().st_size > _LARGEST:
                found = f"{path.stat().st_size:,} bytes"
                self._log.add(name, "file", found, f"at most {_LARGEST:,} bytes")
                return None
            content = path.read_bytes()
        except FileNotFoundError:
            self._log.add(name, "file", "no such file", "a readable file")
            return None
        except OSError as error:
            reason = error.strerror or "nothing readable"
            self._log.add(name, "file", reason.lower(), "a readable file")
            return None
        self.hashes[self._from_yard(path)] = hashlib.sha256(content).hexdigest()
        return content


def decode(content: bytes, name: str, log: FaultLog) -> str | None:
    """Decode UTF-8, with or without its byte-order mark; anything else is a fault."""
    if content.startswith(_WIDE_MARKS) or b"\0" in content[:400]:
        log.add(name, "file", "UTF-16 or binary content", "text saved as UTF-8")
        return None
    body = content.removeprefix(_MARK)
    try:
        text = body.decode("utf-8")
    except UnicodeDecodeError as error:
        line = body.count(b"\n", 0, error.start) + 1
        found = f"byte 0x{body[error.start]:02X}, which is not UTF-8"
        log.add(name, f"line {line}", found, "text saved as UTF-8")
        return None
    if "\0" in text:
        line = text.count("\n", 0, text.index("\0")) + 1
        log.add(name, f"line {line}", "a null character", "text")
        return None
    if not text.strip():
        log.add(name, "file", "an empty file", "at least one line of data")
        return None
    return text
