"""Molds, places and parts fit each other."""

from __future__ import annotations

from tests.models.loading.conftest import TinyYard


def test_places_for_some_models_only(tiny: TinyYard) -> None:
    """A place that takes other models only is no place for a part."""
    other = (tiny.folder / "boats" / "skiff-16.toml").read_text(encoding="utf-8")
    tiny.write("boats/skiff-18.toml", other.replace('"skiff-16"', '"skiff-18"'))
    tiny.replace("yard.toml", '["skiff-16"]', '["skiff-16", "skiff-18"]')
    tiny.replace("yard.toml", 'kind = "bay"', 'kind = "bay", models = ["skiff-16"]')
    fault = tiny.fault()
    assert (fault.file, fault.where) == (
        "boats/skiff-18.toml",
        "parts.hull.place_kind",
    )


def test_molds_with_faults_are_not_missed(tiny: TinyYard) -> None:
    """Where a mold or place could not be read, no part is blamed for lacking it."""
    tiny.replace("yard.toml", 'models = ["skiff-16"] }', 'models = "skiff-16" }')
    tiny.replace("yard.toml", 'kind = "bay"', 'kind = "bay", capacity = 0')
    assert [fault.where for fault in tiny.faults()] == [
        "molds.H16-1.models",
        "places.Bay 1.capacity",
    ]


def test_a_part_that_is_not_molded(tiny: TinyYard) -> None:
    """A mold for a part that the model does not mold is a fault of the mold."""
    old = 'mold_from = "hull.prep", mold_to = "hull.demold", '
    tiny.replace("boats/skiff-16.toml", old, "")
    told = {(fault.file, fault.where) for fault in tiny.faults()}
    assert ("yard.toml", "molds.H16-1.part") in told
