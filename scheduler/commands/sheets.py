"""`hullpace sheets`: crew sheets, travellers and a calendar to print and share."""

from __future__ import annotations

import argparse
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

from models.errors import UsageError
from scheduler.commands.common import (
    DEFAULT_PLAN,
    local_date,
    plural,
    program,
    whole,
    yard_options,
)

if TYPE_CHECKING:
    from scheduler.sheets.day import CrewSheet
    from scheduler.sheets.floor import Floor

MOST_DAYS = 31


def register(subparsers: Any) -> None:
    """Add the command to a parser."""
    parser = subparsers.add_parser(
        "sheets", help="print sheets of crews and days, and travellers of boats"
    )
    parser.add_argument(
        "--plan", type=Path, default=DEFAULT_PLAN, metavar="FILE",
        help="default build/plan.json",
    )  # fmt: skip
    yard_options(parser)
    parser.add_argument(
        "--day", type=local_date, metavar="DATE",
        help="first day of sheets (default the day from which the plan may change)",
    )  # fmt: skip
    parser.add_argument(
        "--days", type=days_count, default=1, metavar="N",
        help=f"days of sheets, 1 to {MOST_DAYS} (default 1)",
    )  # fmt: skip
    parser.add_argument(
        "--crew", action="append", metavar="NAME",
        help="only the sheets of this group of stations; may be repeated",
    )  # fmt: skip
    parser.add_argument(
        "--boat", action="append", metavar="ORDER",
        help="only the traveller of this order; may be repeated",
    )  # fmt: skip
    parser.add_argument(
        "--out", type=Path, default=Path("build/sheets"), metavar="DIR",
        help="default build/sheets",
    )  # fmt: skip
    parser.add_argument(
        "--store", metavar="URL",
        help="print on travellers the conditions that the floor recorded there",
    )  # fmt: skip
    parser.add_argument(
        "--calendar", action="store_true",
        help="also write deliveries, demolds and tests as calendar.ics (iCalendar)",
    )  # fmt: skip
    parser.set_defaults(run=run)


def days_count(text: str) -> int:
    """A number of days, for argparse."""
    value = whole(text)
    if value > MOST_DAYS:
        raise argparse.ArgumentTypeError(f"{text} days are more than {MOST_DAYS}")
    return value


def run(args: argparse.Namespace) -> int:
    """Write the pages and say what is in them; 1 if the plan breaks a rule."""
    from scheduler.checker import check
    from scheduler.plan_file import read_json

    violations = check(read_json(args.plan))
    if violations:
        print(
            f"{args.plan}: {plural(len(violations), 'violation')}; "
            f"nothing was printed. `{program()} check {args.plan}` lists them."
        )
        return 1
    return _write(args)


def _write(args: argparse.Namespace) -> int:
    from models.names import load_names
    from scheduler.commands.common import open_plan
    from scheduler.sheets.floor import make_floor
    from scheduler.sheets.traveller import traveller
    from scheduler.sheets.write import INDEX, write_sheets

    names = load_names(args.yard, args.orders)
    floor = make_floor(open_plan(args.plan), names, _recorded(args.store))
    wanted = _days(floor, args)
    crews = _crews(floor, args.crew)
    days = [] if args.boat and not args.crew else _sheets(floor, crews, wanted)
    orders = args.boat or ([] if args.crew else _boats(floor, wanted))
    boats = [traveller(floor, order) for order in dict.fromkeys(orders)]
    further = [_calendar(floor, args)] if args.calendar else []
    written = write_sheets(floor, days, boats, args.out, further)
    if floor.note:
        print(floor.note)
    for file in written:
        if file.days:
            steps = sum(len(one.steps) for one in file.days)
            total = sum(one.day_hours for one in file.days)
            print(
                f"{file.path}: {file.days[0].day:%A}, "
                f"{plural(len(file.days), 'crew')}, {plural(steps, 'step')}, "
                f"{total:.1f} labor-hours"
            )
        elif file.boat:
            print(f"{file.path}: {plural(len(file.boat.stops), 'step')}")
    for path in further:
        print(f"{path}: deliveries, demolds and tests")
    empty = len(wanted) - len(days)
    if empty and (args.crew or not args.boat):
        print(f"No work is planned on {plural(empty, 'day')} of {len(wanted)}.")
    print(f"Open and print: {args.out / INDEX}")
    return 0


def _recorded(address: str | None) -> dict[str, tuple[str, ...]]:
    """Conditions and warnings of each operation, as a store has them."""
    if address is None:
        return {}
    from models.recording.entries import standing_rows
    from models.store.records import records
    from models.store.transactions import open_store

    told: dict[str, tuple[str, ...]] = {}
    for row in standing_rows(records(open_store(address))):
        entry = row.entry
        texts = [f"Warning: {one}" for one in row.warnings]
        if entry.conditions:
            at = f"{entry.what.capitalize()} {entry.at:%Y-%m-%d %H:%M}"
            texts.insert(0, f"{at}: {', '.join(entry.conditions)}")
        name = f"{entry.order}/{entry.operation}"
        told[name] = (*told.get(name, ()), *texts)
    return told


def _calendar(floor: Floor, args: argparse.Namespace) -> Path:
    """Write the calendar of all boats, or of those asked for."""
    from scheduler.plan_file import write_text
    from scheduler.sheets.calendar import calendar_events
    from scheduler.sheets.calendar_file import calendar_text

    path: Path = args.out / "calendar.ics"
    events = calendar_events(floor, args.boat)
    write_text(calendar_text(f"{floor.names.yard}: plan", events), path)
    return path


def _days(floor: Floor, args: argparse.Namespace) -> list[date]:
    """The days asked for that the plan has.

    Raises
    ------
    UsageError
        If the first one lies before or behind the plan.
    """
    first = args.day or floor.first_day
    if not floor.first_day <= first <= floor.last_day:
        raise UsageError(
            f"--day {first}: the plan has work from {floor.first_day} to "
            f"{floor.last_day}"
        )
    days = [first + timedelta(days=k) for k in range(args.days)]
    return [day for day in days if day <= floor.last_day]


def _crews(floor: Floor, asked: list[str] | None) -> list[str]:
    """The crews asked for, all by default.

    Raises
    ------
    UsageError
        If one is not a crew of the plan.
    """
    by_name = {one.casefold(): one for one in floor.crews}
    for name in asked or ():
        if name.casefold() not in by_name:
            known = ", ".join(floor.crews)
            raise UsageError(f"--crew {name}: the crews of this plan are {known}")
    if not asked:
        return list(floor.crews)
    return list(dict.fromkeys(by_name[name.casefold()] for name in asked))


def _sheets(
    floor: Floor, crews: list[str], wanted: list[date]
) -> list[list[CrewSheet]]:
    """Sheets of each day, without crews that have nothing to do and to mind."""
    from scheduler.sheets.day import crew_sheet

    found = []
    for day in wanted:
        sheets = [crew_sheet(floor, crew, day) for crew in crews]
        working = [one for one in sheets if one.steps or one.upkeep]
        if working:
            found.append(working)
    return found


def _boats(floor: Floor, wanted: list[date]) -> list[str]:
    """Orders with work on one of some days."""
    from scheduler.sheets.day import worked

    spans = [floor.day(day) for day in wanted]
    orders = {
        floor.operations[row.operation].order
        for row in floor.planned.values()
        if any(worked(row, span) is not None for span in spans)
    }
    return sorted(orders)
