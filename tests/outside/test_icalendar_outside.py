"""The calendar's text against RFC 5545, section by section.

Sections 3.1, 3.3.11, 3.8.7.2 and 3.8.7.4 were read; what is said of 3.3.5, 3.4, 3.6,
3.6.1 and 3.8.2.2 is from memory.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta, timezone

from hypothesis import example, given
from hypothesis import strategies as st

from scheduler.sheets.calendar_file import (
    Event,
    calendar_text,
    escape_text,
    fold,
    utc_text,
)

EST = timezone(timedelta(hours=-5))


def unfold(text: str) -> str:
    """RFC 5545, 3.1: remove each CRLF that a space or tab follows, and that sign."""
    return text.replace("\r\n ", "").replace("\r\n\t", "")


def unescape(text: str) -> str:
    """RFC 5545, 3.3.11 (ABNF of TEXT), read from left to right."""
    out, signs = "", iter(text)
    for sign in signs:
        if sign != "\\":
            assert sign not in ";,"
            out += sign
            continue
        after = next(signs)
        assert after in "\\;,nN"
        out += "\n" if after in "nN" else after
    return out


def event(begins: datetime | date, ends: datetime | None, text: str = "x") -> Event:
    """An event of which only the times and texts matter."""
    made = datetime(1997, 12, 10, 3, tzinfo=EST)
    return Event("id", 2, made, begins, ends, text, text, text, "TEST", "TENTATIVE")


def lines_of(one: Event) -> list[str]:
    """Unfolded lines of a calendar with one event."""
    return unfold(calendar_text("Yard", [one])).split("\r\n")


def test_the_standards_own_text_example() -> None:
    """RFC 5545, 3.3.11: the example of a value of several lines."""
    value = "Project XYZ Final Review\nConference Room - 3B\nCome Prepared."
    expected = r"Project XYZ Final Review\nConference Room - 3B\nCome Prepared."
    assert escape_text(value) == expected


def test_a_colon_is_not_escaped() -> None:
    """RFC 5545, 3.3.11: backslash, comma and semicolon are escaped, a colon is not."""
    assert escape_text("a\\b;c,d:e") == r"a\\b\;c\,d:e"


def test_the_standards_own_times() -> None:
    """RFC 5545, 3.3.5 form 2 and the example of DTSTAMP in 3.8.7.2."""
    assert utc_text(datetime(1998, 1, 19, 7, tzinfo=UTC)) == "19980119T070000Z"
    (stamp,) = [
        line
        for line in lines_of(event(date(2027, 3, 8), None))
        if line.startswith("DTSTAMP")
    ]
    assert stamp == "DTSTAMP:19971210T080000Z"


def test_the_standards_own_revision() -> None:
    """RFC 5545, 3.8.7.4: SEQUENCE:2 is the example of one revised twice."""
    assert "SEQUENCE:2" in lines_of(event(date(2027, 3, 8), None))


def test_the_standards_own_folded_line() -> None:
    """RFC 5545, 3.1: its example unfolds to one line, which is too short to be ours."""
    folded = (
        "DESCRIPTION:This is a lo\r\n ng description\r\n  that exists on a long line."
    )
    line = "DESCRIPTION:This is a long description that exists on a long line."
    assert unfold(folded) == line
    assert fold(line) == line
    assert fold("x" * 75) == "x" * 75
    assert fold("x" * 76) == "x" * 75 + "\r\n x"


@example("x" * 300)
@example("SUMMARY:" + "é" * 200)
@example("x" + "漢" * 100)
@example("🚤" * 60)
@given(st.text(st.characters(exclude_categories=("Cs",), exclude_characters="\r\n")))
def test_no_piece_is_longer_than_75_octets(line: str) -> None:
    """RFC 5545, 3.1: at most 75 octets without the break; nothing is lost."""
    pieces = fold(line).split("\r\n")
    assert all(len(one.encode("utf-8")) <= 75 for one in pieces)
    assert all(one.startswith(" ") for one in pieces[1:])
    assert "".join([pieces[0], *(one[1:] for one in pieces[1:])]) == line


@given(st.text(st.characters(exclude_categories=("Cs",))))
def test_any_text_comes_back(text: str) -> None:
    """Escaped text is one line without control characters, and is read back whole."""
    escaped = escape_text(text)
    assert not any(sign < " " and sign != "\t" for sign in escaped)
    assert "\x7f" not in escaped
    known = text.replace("\r\n", "\n").replace("\r", "\n")
    kept = "".join(s for s in known if s in "\n\t" or (s >= " " and s != "\x7f"))
    assert unescape(escaped) == kept


def test_every_line_ends_with_both_signs() -> None:
    """RFC 5545, 3.1 and 3.4: CRLF after each line, one calendar from first to last."""
    text = calendar_text("Yard", [event(date(2027, 3, 8), None, "é" * 200)])
    assert text.endswith("END:VCALENDAR\r\n")
    assert text.startswith("BEGIN:VCALENDAR\r\n")
    assert text.count("\n") == text.count("\r") == text.count("\r\n")


def test_what_a_calendar_and_an_event_must_have() -> None:
    """RFC 5545, 3.6: PRODID, VERSION; 3.6.1: UID, DTSTAMP, DTSTART; each once."""
    lines = lines_of(event(datetime(2027, 3, 8, 6, tzinfo=EST), None))
    names = [line.split(":")[0].split(";")[0] for line in lines]
    for name in ("PRODID", "VERSION", "UID", "DTSTAMP", "DTSTART", "SEQUENCE"):
        assert names.count(name) == 1, name
    assert "VERSION:2.0" in lines
    assert "METHOD" not in names  # so that DTSTAMP is the time of the last change


def test_an_end_is_later_than_its_beginning() -> None:
    """RFC 5545, 3.8.2.2: DTEND must be later than DTSTART, so none has no length."""
    begins = datetime(2027, 3, 8, 6, tzinfo=EST)
    none = lines_of(event(begins, begins))
    assert not [line for line in none if line.startswith("DTEND")]
    lines = lines_of(event(begins, begins + timedelta(hours=2)))
    assert "DTSTART:20270308T110000Z" in lines
    assert "DTEND:20270308T130000Z" in lines


def test_a_day_is_a_date() -> None:
    """RFC 5545, 3.6.1: DTSTART as a date without DTEND lasts that one day."""
    lines = lines_of(event(date(2027, 3, 8), None))
    assert "DTSTART;VALUE=DATE:20270308" in lines
    assert not [line for line in lines if line.startswith("DTEND")]
