"""Writing plain data as TOML, which the standard library only reads.

Covers what a yard's file holds: text, numbers, truth values, dates, lists, tables and
lists of tables.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from datetime import date, datetime, time
from typing import Any

_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")


def to_toml(table: Mapping[str, Any]) -> str:
    """Turn a table, as `tomllib` reads it, into TOML text."""
    return "\n".join(_lines(table, ())) + "\n"


def _lines(table: Mapping[str, Any], path: tuple[str, ...]) -> Iterator[str]:
    """Give values first: after a header, keys would belong to the inner table."""
    for key, value in table.items():
        if not _is_table(value) and not _is_tables(value):
            yield f"{_key(key)} = {_value(value)}"
    for key, value in table.items():
        inner = (*path, key)
        header = ".".join(_key(part) for part in inner)
        if _is_table(value):
            yield from ("", f"[{header}]", *_lines(value, inner))
        elif _is_tables(value):
            for one in value:
                yield from ("", f"[[{header}]]", *_lines(one, inner))


def _is_table(value: object) -> bool:
    return isinstance(value, Mapping)


def _is_tables(value: object) -> bool:
    return isinstance(value, list) and bool(value) and all(map(_is_table, value))


def _key(key: str) -> str:
    return key if _BARE_KEY.fullmatch(key) else _text(key)


def _text(value: str) -> str:
    """Quote text; JSON's escapes are TOML's too, but for the delete character."""
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return _text(value)
    if isinstance(value, (date, datetime, time)):
        return value.isoformat()
    if isinstance(value, Mapping):
        pairs = (f"{_key(key)} = {_value(one)}" for key, one in value.items())
        return "{ " + ", ".join(pairs) + " }" if value else "{}"
    if isinstance(value, (list, tuple)):
        return "[" + ", ".join(_value(one) for one in value) + "]"
    if isinstance(value, (int, float)):
        return repr(value)
    raise TypeError(f"TOML has no {type(value).__name__}")
