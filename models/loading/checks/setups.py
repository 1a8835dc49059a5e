"""Checks of set-ups between families of color, and of the steps that need them."""

from __future__ import annotations

from itertools import permutations

from models.boat import BoatModel
from models.loading.checks.scope import BoatScope, YardScope, repeated
from models.loading.faults import one_of, quoted
from models.yard import Station


def check_setups(yard: YardScope) -> None:
    """Check each station's set-ups by themselves."""
    for station in yard.yard.stations:
        where = f"stations.{station.id}.setups"
        if not station.setups:
            if station.last_family is not None:
                found = quoted(station.last_family)
                yard.fault(f"stations.{station.id}.last_family", found, "setups, too")
            continue
        if station.capacity != 1:
            found = f"set-ups with a capacity of {station.capacity or 'any'}"
            yard.fault(
                where, found, "a capacity of 1, so that one work follows another"
            )
        pairs = [f"{one.before} to {one.after}" for one in station.setups]
        for name in repeated(pairs):
            yard.fault(where, f"'{name}' more than once", "each once")
        for one in station.setups:
            if one.before == one.after:
                found = f"'{one.before}' to itself"
                yard.fault(where, found, "two different families")
        known = families(station)
        if station.last_family is not None and station.last_family not in known:
            expected = one_of(station.last_family, known, "a family of its setups")
            where = f"stations.{station.id}.last_family"
            yard.fault(where, quoted(station.last_family), expected)
        _check_detours(where, station, yard)


def families(station: Station) -> set[str]:
    """Families that a station's set-ups name."""
    return {name for one in station.setups for name in (one.before, one.after)}


def _check_detours(where: str, station: Station, yard: YardScope) -> None:
    """No set-up may take longer than one by way of another family."""
    minutes = {(one.before, one.after): one.minutes for one in station.setups}
    for before, by, after in permutations(sorted(families(station)), 3):
        direct = minutes.get((before, after), 0)
        detour = minutes.get((before, by), 0) + minutes.get((by, after), 0)
        if direct > detour:
            found = f"{direct} minutes from {before} to {after}"
            yard.fault(where, found, f"at most the {detour} by way of {by}")


def check_setup_families(boat: BoatScope, yard: YardScope) -> None:
    """Check that each step in a family has a station that knows the family."""
    stations = {one.id: one for one in yard.yard.stations}
    for where, name, family in _named(boat.model):
        station = stations.get(name)
        if family is None or station is None:
            continue
        if not station.setups:
            expected = f"setups of {name} in {yard.file}"
            boat.fault(where, f"{quoted(family)} at {name}", expected)
            continue
        noun = f"a family in the setups of {name}"
        boat.refer(where, family, families(station), noun)


def _named(model: BoatModel) -> list[tuple[str, str, str | None]]:
    """Where a family is named, at which station."""
    steps = [
        (f"operations.{one.code}.setup_family", one.station, one.setup_family)
        for one in model.operations
    ]
    colors = [
        (f"graphics.{one.id}.colors.{color.name}", one.station, color.setup_family)
        for one in model.graphics
        for color in one.colors
    ]
    return [*steps, *colors]
