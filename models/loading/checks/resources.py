"""Checks between molds and places on one side and the models' parts on the other."""

from __future__ import annotations

from collections.abc import Mapping

from models.boat import Part
from models.loading.checks.scope import BoatScope, YardScope
from models.loading.faults import listed, one_of


def check_molds(yard: YardScope, boats: Mapping[str, BoatScope]) -> None:
    """Check that each mold makes a part of each of its models."""
    for mold in yard.yard.molds:
        for name in mold.models:
            boat = boats.get(name)
            if boat is None or not boat.whole("parts"):
                continue
            molded = {one.id for one in boat.model.parts if one.mold_from}
            if mold.part not in molded:
                yard.fault(
                    f"molds.{mold.id}.part",
                    f"'{mold.part}', which {name} does not mold",
                    one_of(mold.part, molded, f"a molded part of {name}"),
                )


def check_part_homes(boat: BoatScope, yard: YardScope) -> None:
    """Check that each part has a mold to be made in and a place to stand in."""
    for part in boat.model.parts:
        if part.mold_from is not None and yard.whole("molds"):
            _check_mold(part, boat, yard)
        if part.place_kind is not None and yard.whole("places"):
            _check_place(part, boat, yard)


def _check_mold(part: Part, boat: BoatScope, yard: YardScope) -> None:
    name = boat.model.id
    if not any(m.part == part.id and name in m.models for m in yard.yard.molds):
        boat.fault(
            f"parts.{part.id}.mold_from",
            "no mold for it",
            f"a mold in {yard.file} with part '{part.id}' and '{name}' in its models",
        )


def _check_place(part: Part, boat: BoatScope, yard: YardScope) -> None:
    name, kind = boat.model.id, part.place_kind
    places = yard.yard.places
    if not any(p.kind == kind and (not p.models or name in p.models) for p in places):
        kinds = listed({place.kind for place in places}) or "none"
        boat.fault(
            f"parts.{part.id}.place_kind",
            f"no place of kind '{kind}' that takes {name}",
            f"such a place in {yard.file} (kinds there: {kinds})",
        )
