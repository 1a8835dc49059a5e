"""A yard with more or fewer people, molds, places and stations than a given one.

Works on the table that `yard.toml` holds. Kinds keep their shares: people with the
same skills, molds of the same part, places of the same kind. Copies of one mold or
person are not all away in the same week.
"""

from __future__ import annotations

import math
import re
from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable, Mapping
from copy import deepcopy
from datetime import date, datetime, timedelta
from typing import Any

Table = dict[str, Any]
_NUMBER_AT_END = re.compile(r"(.*?)(\d+)")
_WEEKS_APART = 2  # between the absences of two copies of one person, mold or place


def scale_yard(yard: Table, scale: float, crews: Mapping[str, int]) -> Table:
    """Scale a yard.

    Parameters
    ----------
    yard : dict
        What `yard.toml` holds.
    scale : float
        Factor on the number of people, molds and places and on the capacity of
        stations and shared places; nothing falls below one.
    crews : mapping of str to int
        The people that each skill needs at least, however small the yard.
    """
    scaled = deepcopy(yard)
    scaled["people"] = _with_crews(
        _copies(yard["people"], _skills_of, _in_total, scale), yard["people"], crews
    )
    scaled["molds"] = _copies(yard.get("molds", []), _makes, _nearest, scale)
    scaled["places"] = _scaled_places(yard.get("places", []), scale)
    for station in scaled.get("stations", []):
        if "capacity" in station:
            station["capacity"] = _rounded(station["capacity"] * scale)
    return scaled


def _rounded(value: float, least: int = 1) -> int:
    return max(least, math.floor(value + 0.5))


def _skills_of(person: Table) -> Hashable:
    return tuple(sorted(person["skills"]))


def _makes(mold: Table) -> Hashable:
    return (mold["part"], *sorted(mold["models"]))


def _holds(place: Table) -> Hashable:
    return (place["kind"], *sorted(place.get("models", [])))


def _scaled_places(places: list[Table], scale: float) -> list[Table]:
    """Copy places that hold one part; a place for several grows instead."""
    single = [place for place in places if place.get("capacity", 1) == 1]
    shared = [deepcopy(place) for place in places if place.get("capacity", 1) > 1]
    for place in shared:
        place["capacity"] = _rounded(place["capacity"] * scale)
    return _copies(single, _holds, _upwards, scale) + shared


def _copies(
    rows: list[Table],
    kind_of: Callable[[Table], Hashable],
    counts_of: Callable[[list[float]], list[int]],
    scale: float,
) -> list[Table]:
    """Take each kind `scale` times, rounded as `counts_of` says, and number anew."""
    kinds: dict[Hashable, list[Table]] = defaultdict(list)
    for row in rows:
        kinds[kind_of(row)].append(row)
    counts = counts_of([len(kind) * scale for kind in kinds.values()])
    copied = [
        _copy(kind[index % len(kind)], index // len(kind))
        for kind, count in zip(kinds.values(), counts, strict=True)
        for index in range(count)
    ]
    return _numbered(copied)


def _nearest(wanted: list[float]) -> list[int]:
    return [_rounded(value) for value in wanted]


def _upwards(wanted: list[float]) -> list[int]:
    return [math.ceil(value - 1e-9) for value in wanted]


def _in_total(wanted: list[float]) -> list[int]:
    """Round by largest remainders to whole numbers that add up to the rounded sum."""
    counts = [math.floor(value + 1e-9) for value in wanted]
    missing = _rounded(sum(wanted), least=0) - sum(counts)
    order = sorted(range(len(wanted)), key=lambda i: (counts[i] - wanted[i], i))
    for index in order[:missing]:
        counts[index] += 1
    return counts


def _copy(row: Table, round_: int) -> Table:
    """Copy a row; the absences of later rounds come some weeks later."""
    copied = deepcopy(row)
    shift = timedelta(weeks=_WEEKS_APART * round_)
    if "leave" in copied:
        copied["leave"] = [
            [(date.fromisoformat(day) + shift).isoformat() for day in span]
            for span in copied["leave"]
        ]
    if "outages" in copied:
        copied["outages"] = [
            [(datetime.fromisoformat(at) + shift).isoformat("T", "minutes") for at in s]
            for s in copied["outages"]
        ]
    return copied


def _numbered(rows: Iterable[Table]) -> list[Table]:
    """Number rows anew within the stem of their ids: LM-01, LM-02, Bay 1, Bay 2."""
    used: dict[str, int] = defaultdict(int)
    out = []
    for row in rows:
        match = _NUMBER_AT_END.fullmatch(row["id"])
        stem, width = (match[1], len(match[2])) if match else (f"{row['id']}-", 1)
        used[stem] += 1
        out.append({**row, "id": f"{stem}{used[stem]:0{width}d}"})
    return out


def _with_crews(
    people: list[Table], base: list[Table], crews: Mapping[str, int]
) -> list[Table]:
    """Add people where a skill has too few, those with the fewest skills first."""
    people = list(people)
    for skill, least in crews.items():
        have = sum(skill in person["skills"] for person in people)
        able = [person for person in base if skill in person["skills"]]
        able.sort(key=lambda person: len(person["skills"]))
        if able:
            people += [_copy(able[i % len(able)], i + 1) for i in range(least - have)]
    order = {
        _skills_of(person): index for index, person in reversed(list(enumerate(base)))
    }
    people.sort(key=lambda person: order[_skills_of(person)])
    return _numbered(people)
