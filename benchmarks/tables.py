"""Tables of all cells that have been measured, as `results/README.md`."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable, Sequence
from pathlib import Path
from statistics import median
from typing import Any

Row = dict[str, Any]

BUSY = 2.5
"""Load averages above it are told: the two cores had more to do than the cell."""


def read_cells(folder: Path) -> list[Row]:
    """Every cell that is there, small books first."""
    cells = [json.loads(path.read_text()) for path in (folder / "cells").glob("*.json")]
    books = [one for one in cells if "cell" in one]
    return sorted(
        books,
        key=lambda one: (
            one["cell"]["load"], one["cell"]["boats"], one["cell"]["book_seed"]
        ),
    )  # fmt: skip


def read_sets(folder: Path) -> list[Row]:
    """Every classical set that is there."""
    cells = [
        json.loads(path.read_text())
        for path in sorted((folder / "cells").glob("classical*.json"))
    ]
    return sorted(cells, key=lambda one: (one["set"], one["schedules"]))


def values(cell: Row, name: str) -> list[int]:
    """What an arm found in a cell, by seed."""
    return [
        arm["value"]
        for arm in cell["arms"]
        if arm["name"] == name and arm["value"] is not None
    ]


def best_rule(cell: Row) -> tuple[int, str]:
    """The best dispatch rule of a cell."""
    rules = [arm for arm in cell["arms"] if arm["name"].startswith("rule: ")]
    best = min(rules, key=lambda arm: (arm["value"], arm["name"]))
    return best["value"], best["name"].removeprefix("rule: ")


def less(value: float, than: float) -> str:
    """By how much a value is less, in per cent."""
    return "-" if not than else f"{100 * (1 - value / than):.0f} %"


def book_row(cell: Row) -> list[str]:
    """One book: what each method found, and what the search's plan is worth."""
    plans = [arm for arm in cell["arms"] if arm["name"] == "hullpace plan"]
    own = [arm["value"] for arm in plans]
    middle = median(own)
    due = values(cell, "earliest due date")
    rule, name = best_rule(cell)
    asked = cell["cell"]
    bound = max(arm["bound"] or 0 for arm in plans)
    proven = sum(arm["status"] == "proven" for arm in plans)
    models = [
        _model(cell, "one model, our plan as hint"),
        _model(cell, "one model"),
    ]
    return [
        str(asked["boats"]),
        f"{asked['load']:g}",
        str(asked["book_seed"]),
        f"{cell['operations']:,}",
        f"{asked['seconds']:g} s",
        f"{due[0]:,}" if due else "-",
        f"{rule:,} ({name})",
        f"{middle:,.0f}",
        f"{max(own) - min(own):,}" if len(own) > 1 else "-",
        f"{bound:,}" + (f" (proven {proven} of {len(own)})" if proven else ""),
        less(middle, due[0]) if due else "-",
        less(middle, rule),
        *models,
        f"{cell['peak_mb']:,} MB",
    ]


def _model(cell: Row, name: str) -> str:
    arms = [arm for arm in cell["arms"] if arm["name"] == name]
    if not arms:
        return "not asked"
    arm = arms[0]
    found = "none" if arm["value"] is None else f"{arm['value']:,}"
    return f"{found} in {arm['spent_seconds']:.0f} s"


BOOK_HEADS = (
    "boats", "load", "book", "operations", "time", "earliest due date", "best rule",
    "this plan", "spread", "at least", "below due date", "below best rule",
    "one model + hint", "one model", "memory",
)  # fmt: skip


def markdown(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """A table."""
    lines = ["| " + " | ".join(heads) + " |", "|" + "---|" * len(heads)]
    lines += ["| " + " | ".join(row) + " |" for row in rows]
    return "\n".join(lines)


def set_row(one: Row) -> list[str]:
    """One classical set."""
    spent = (
        f"{one['schedules']:,} schedules"
        if one["schedules"]
        else (f"{one['seconds']:g} s each")
    )
    above = one["average_above_best_known_per_cent"]
    proven = sum(row["status"] == "proven" for row in one["rows"])
    seconds = sum(row["spent_seconds"] for row in one["rows"])
    return [
        one["set"], str(one["instances"]), spent,
        "-" if above is None else f"{above:.2f} %", str(proven), f"{seconds:.0f} s",
    ]  # fmt: skip


def circumstances(cells: Sequence[Row]) -> list[str]:
    """Machine, versions, dates, and whether anything ran beside."""
    machines = sorted({f"{c['machine']['processor']}, {c['machine']['cores']} cores, "
                       f"{c['machine']['system']}" for c in cells})  # fmt: skip
    versions = sorted(
        {", ".join(f"{k} {v}" for k, v in sorted(c["versions"].items())) for c in cells}
    )
    dates = sorted({c["date"] for c in cells})
    busiest = max(c["busy"] for c in cells)
    beside = (
        f"The load over 15 minutes reached {busiest:g}: something ran beside."
        if busiest > BUSY
        else f"The load over 15 minutes stayed at {busiest:g} or less."
    )
    return [
        f"Machine: {'; '.join(machines)}. Versions: {'; '.join(versions)}.",
        f"Measured {dates[0]} to {dates[-1]}. {beside}",
    ]


def page(folder: Path) -> str:
    """The whole page."""
    cells, sets = read_cells(folder), read_sets(folder)
    parts = ["# Measured results", "", INTRODUCTION]
    if cells:
        parts += ["", *circumstances(cells), "", "## Books of `hullpace sample`", ""]
        parts += [BOOKS, "", markdown(BOOK_HEADS, map(book_row, cells))]
        if (folder / "books.png").exists():
            parts += ["", "![Late days by method and size of book](books.png)"]
    if sets:
        heads = ("set", "instances", "spent", "above best known", "proven", "in all")
        parts += ["", "## Instances of the literature", "", SETS, ""]
        parts += [markdown(heads, map(set_row, sets))]
    return "\n".join(parts) + "\n"


INTRODUCTION = """\
Written by `python -m benchmarks.suite` (`make bench`, `make bench-full`). The methods
of one row ran one after the other in one process, so compare along a row, not between
rows. Files beside this page hold every figure."""

BOOKS = """\
Weighted working days late (level 1), the least is best. "This plan" is the median of
the seeds of `hullpace plan`, checked and with names; "spread" the largest less the
smallest. "Best rule" is the best of ten dispatch rules, apparent tardiness cost among
them, with the same decoder and the better of two crew policies, and of sixteen settings
of the event-driven one. "One model" is the constraint model of the whole book on its
own: it names nobody, which flatters it."""

SETS = """\
Average of value / best known - 1. A forward or a backward pass is a schedule."""


def write_tables(folder: Path) -> Path:
    """Write the page beside the cells."""
    from benchmarks.plots import write_plot

    folder.mkdir(parents=True, exist_ok=True)
    write_plot(read_cells(folder), folder / "books.png")
    path = folder / "README.md"
    path.write_text(page(folder), encoding="utf-8")
    return path


if __name__ == "__main__":
    print(write_tables(Path(sys.argv[1])))
