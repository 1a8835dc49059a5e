"""Pieces of a page: one file without scripts, pictures or addresses of other hosts."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape
from typing import TYPE_CHECKING

from models.cautions import CAUTIONS, DEFER
from scheduler.sheets.style import STYLE
from scheduler.sheets.wording import (
    UNKNOWN_CAUTIONS,
    caution_body,
    caution_title,
    plan_text,
)

if TYPE_CHECKING:
    from scheduler.sheets.floor import Floor

LINE = '<span class="line"></span>'
SHORT = '<span class="line short"></span>'

NO_JUDGE = "This sheet plans work; it does not judge safety."


def tick(text: str) -> str:
    """A box to tick, with its word beside it."""
    return f'<span class="tick"><span class="box"></span>{text}</span>'


def entries(told: Iterable[str]) -> str:
    """Entries to fill in by hand, one below the other; a line takes what is left."""
    return "".join(f'<div class="entry">{one}</div>' for one in told)


def document(floor: Floor, title: str, body: Iterable[str], kind: str = "sheet") -> str:
    """A whole page; `body` is markup, all else plain text.

    `kind` is sheet, traveller or index.
    """
    # Nothing of the yard's own text gets into the style sheet.
    style = STYLE.replace("FOOTER", plan_text(floor))
    if kind == "index":
        style = style.replace("size: landscape", "size: portrait")
    return "\n".join(
        [
            "<!doctype html>",
            '<html lang="en">',
            "<head>",
            '<meta charset="utf-8">',
            '<meta http-equiv="Content-Security-Policy" '
            "content=\"default-src 'none'; style-src 'unsafe-inline'\">",
            '<meta name="viewport" content="width=device-width">',
            f"<title>{escape(title)}</title>",
            f"<style>{style}</style>",
            "</head>",
            f'<body class="{kind}">',
            *body,
            "</body>",
            "</html>",
            "",
        ]
    )


def table(
    banner: str, heads: Sequence[tuple[str, float]], rows: Iterable[str]
) -> Iterable[str]:
    """A table whose banner and headings are printed on every page that it fills.

    `heads` are names and widths in percent; `banner` and `rows` are markup.
    """
    yield "<table>"
    yield "<colgroup>"
    yield from (f'<col style="width:{width:g}%">' for _, width in heads)
    yield "</colgroup>"
    yield "<thead>"
    if banner:
        yield f'<tr><th class="banner" colspan="{len(heads)}">{banner}</th></tr>'
    cells = "".join(f'<th scope="col">{escape(name)}</th>' for name, _ in heads)
    yield f"<tr>{cells}</tr>"
    yield "</thead>"
    yield "<tbody>"
    yield from rows
    yield "</tbody>"
    yield "</table>"


def banner(title: str, lines: Iterable[str]) -> str:
    """The heading of a sheet and what stands below it, from plain text."""
    heading = f'<div role="heading" aria-level="1">{escape(title)}</div>'
    return heading + "".join(f"<div>{escape(line)}</div>" for line in lines if line)


def lines(texts: Iterable[str]) -> str:
    """Plain texts, one below the other."""
    return "<br>".join(escape(text) for text in texts if text)


def caution_block(floor: Floor, steps: Iterable[tuple[int, str]]) -> Iterable[str]:
    """The cautions of some steps (number and operation) in full, each once."""
    numbers: dict[str, list[int]] = {}
    unknown = False
    for number, operation in steps:
        keys = floor.cautions(operation)
        unknown = unknown or keys == tuple(CAUTIONS)
        for key in keys:
            numbers.setdefault(key, []).append(number)
    if not numbers:
        return
    yield '<div class="cautions">'
    yield "<h2>Cautions</h2>"
    if unknown:
        yield f"<p>{escape(UNKNOWN_CAUTIONS)}</p>"
    for key in CAUTIONS:
        if key in numbers:
            noun = "step" if len(numbers[key]) == 1 else "steps"
            named = f"{noun} {ranges(numbers[key])}"
            yield (
                f"<p><b>{escape(caution_title(key))}</b> ({named}): "
                f"{escape(caution_body(key))}</p>"
            )
    yield f"<p><b>{escape(DEFER)}</b> {escape(NO_JUDGE)}</p>"
    yield "</div>"


def ranges(numbers: Sequence[int]) -> str:
    """Numbers in rising order, runs of them drawn together: 1–3, 7."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    texts = (f"{run[0]}–{run[-1]}" if len(run) > 1 else f"{run[0]}" for run in runs)
    return ", ".join(texts)
