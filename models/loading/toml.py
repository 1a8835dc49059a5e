"""Reading a TOML file into plain tables, with a syntax error as a fault."""

from __future__ import annotations

import re
import tomllib
from typing import Any

from models.loading.faults import FaultLog

_POSITION = re.compile(r"\s*\(at (?:line (\d+), column (\d+)|(end of document))\)")


def parse_toml(text: str, file: str, log: FaultLog) -> dict[str, Any] | None:
    """Parse a TOML document; None, with a fault, where it is not one."""
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        where, found = _split(str(error))
    except RecursionError:
        where, found = "file", "brackets nested too deeply"
    log.add(file, where, found, "a valid TOML document (dates must exist)")
    return None


def _split(message: str) -> tuple[str, str]:
    match = _POSITION.search(message)
    found = _POSITION.sub("", message)
    found = found[:1].lower() + found[1:]
    if match is None:
        return "file", found
    if match[3]:
        return "end of file", found
    return f"line {match[1]}, column {match[2]}", found
