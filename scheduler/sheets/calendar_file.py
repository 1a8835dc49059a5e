"""Writing a calendar as iCalendar text (RFC 5545), as little of it as the yard needs.

Lines end with CRLF and are folded at 75 octets (section 3.1), text is escaped (3.3.11),
instants are in UTC (3.3.5, form 2). A calendar without METHOD takes DTSTAMP as the time
of the last change (3.8.7.2): that of the plan. The name is a property of RFC 7986.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime

MOST_OCTETS = 75
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]")


@dataclass(frozen=True, slots=True)
class Event:
    """One entry of a calendar, without people.

    `uid` never changes for the same thing, `sequence` grows when it is planned anew.
    `begins` and `ends` are instants with a zone, or a whole day and None. An instant
    that is no later than the beginning is left out, as RFC 5545 asks for (3.8.2.2).
    `status` is CONFIRMED or TENTATIVE.
    """

    uid: str
    sequence: int
    changed: datetime
    begins: datetime | date
    ends: datetime | None
    summary: str
    description: str
    location: str
    category: str
    status: str


def calendar_text(name: str, events: Iterable[Event]) -> str:
    """Write a whole calendar."""
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//Hullpace//Plan of a yard//EN",
        "CALSCALE:GREGORIAN",
        f"NAME:{escape_text(name)}",
    ]
    for event in events:
        lines += _event_lines(event)
    lines.append("END:VCALENDAR")
    return "".join(f"{fold(line)}\r\n" for line in lines)


def _event_lines(event: Event) -> list[str]:
    lines = [
        "BEGIN:VEVENT",
        f"UID:{escape_text(event.uid)}",
        f"DTSTAMP:{utc_text(event.changed)}",
        f"SEQUENCE:{event.sequence}",
        *_when(event),
        f"SUMMARY:{escape_text(event.summary)}",
        f"DESCRIPTION:{escape_text(event.description)}",
        f"LOCATION:{escape_text(event.location)}",
        f"CATEGORIES:{escape_text(event.category)}",
        f"STATUS:{event.status}",
        "TRANSP:TRANSPARENT",  # nobody's time is taken by looking at it
        "END:VEVENT",
    ]
    return [line for line in lines if line != "LOCATION:"]


def _when(event: Event) -> list[str]:
    if not isinstance(event.begins, datetime):
        return [f"DTSTART;VALUE=DATE:{event.begins:%Y%m%d}"]
    lines = [f"DTSTART:{utc_text(event.begins)}"]
    if event.ends is not None and event.ends > event.begins:
        lines.append(f"DTEND:{utc_text(event.ends)}")
    return lines


def utc_text(instant: datetime) -> str:
    """An instant as RFC 5545 writes it in UTC, e.g. 19980119T070000Z."""
    return f"{instant.astimezone(UTC):%Y%m%dT%H%M%SZ}"


def escape_text(text: str) -> str:
    """A value of type TEXT: backslash, semicolon, comma and line breaks escaped.

    Control characters, which TEXT cannot hold, are left out.
    """
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    text = _CONTROL.sub("", text)
    for sign in ("\\", ";", ","):
        text = text.replace(sign, f"\\{sign}")
    return text.replace("\n", "\\n")


def fold(line: str) -> str:
    """Fold a line so that no piece has more than 75 octets, its leading space included.

    No character is cut in two.
    """
    pieces, piece, octets = [], "", 0
    for sign in line:
        length = len(sign.encode("utf-8"))
        if octets + length > MOST_OCTETS:
            pieces.append(piece)
            piece, octets = "", 1  # the space at the start of the next line
        piece += sign
        octets += length
    return "\r\n ".join([*pieces, piece])
