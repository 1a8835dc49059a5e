"""What checks look at: names with faults stay known, their absence is not blamed."""

from __future__ import annotations

from models.loading.checks.scope import BoatScope, YardScope, repeated
from models.loading.faults import FaultLog
from tests.models.tiny import skiff, tiny_yard


def test_left_out_entries_stay_known() -> None:
    """An entry that was left out counts as known, its table as not whole."""
    left_out = {"skills": frozenset({"sew"})}
    scope = YardScope(tiny_yard(), "yard.toml", FaultLog(), left_out)
    assert scope.known("skills", ["rig"]) == {"rig", "sew"}
    assert not scope.whole("people", "skills")
    assert scope.whole("people")


def test_references() -> None:
    """A name that is not known is a fault; no name at all is none."""
    log = FaultLog()
    scope = BoatScope(skiff(), "boats/skiff-16.toml", log, {})
    assert scope.refer("parts", None, {"a"}, "a part")
    assert scope.refer("parts", "a", {"a"}, "a part")
    assert log.count == 0
    assert not scope.refer("parts", "b", {"a"}, "a part")
    assert log.count == 1


def test_repeated() -> None:
    """Each name that comes more than once is listed once."""
    assert repeated("abcabca") == ["a", "b", "c"]
    assert repeated("abc") == []
