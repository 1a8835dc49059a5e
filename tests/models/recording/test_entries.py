"""Which entries hold."""

from __future__ import annotations

from datetime import datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from models.recording.entries import (
    FINISH,
    HOURS,
    START,
    WITHDRAW,
    FloorEntry,
    Recorded,
    standing,
)

SIX = datetime.fromisoformat("2027-03-01T06:00")


def entry(what: str, minutes: int = 0, **more: float) -> FloorEntry:
    """An entry of one operation, so many minutes after six."""
    at = SIX + timedelta(minutes=minutes)
    return FloorEntry("B-1", "hull.prep", what, at, **more)  # type: ignore[arg-type]


def test_a_correction_holds_and_both_stay() -> None:
    """The later entry holds in the place of the one that it names."""
    late, early = entry(START, 30), entry(START, 15)
    rows = [Recorded(1, late, None), Recorded(2, early, 1)]
    assert standing(rows) == [early]
    assert standing([*rows, Recorded(3, entry(WITHDRAW, 15), 2)]) == []


def test_a_withdrawal_can_be_corrected() -> None:
    """What was taken back by mistake holds again under a new number."""
    rows = [
        Recorded(1, entry(START), None),
        Recorded(2, entry(WITHDRAW), 1),
        Recorded(3, entry(START), 2),
    ]
    assert standing(rows) == [entry(START)]


@given(st.permutations([(0, START), (1, HOURS), (1, FINISH), (5, HOURS)]))
def test_time_decides_then_the_order_of_writing(
    drawn: list[tuple[int, str]],
) -> None:
    """Entries recorded late go where they belong; ties stay as they were written."""
    rows = [
        Recorded(number, entry(what, minutes), None)
        for number, (minutes, what) in enumerate(drawn, start=1)
    ]
    held = standing(rows)
    assert [one.at for one in held] == sorted(one.at for one in held)
    same = [what for minutes, what in drawn if minutes == 1]
    assert [one.what for one in held[1:3]] == same


def test_an_entry_in_words() -> None:
    """What was recorded, with its units."""
    one = entry(HOURS, hours=2.5, remaining_hours=1.0)
    assert one.text == "B-1 hull.prep hours 2027-03-01 06:00 2.5 h 1 h left"
