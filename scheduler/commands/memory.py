"""What the commands of the store share: its option, who is at work, times as shown."""

from __future__ import annotations

import argparse
import getpass
import os
import shlex
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from scheduler.commands.common import DEFAULT_YARD

if TYPE_CHECKING:
    from models.store.log import Author
    from models.store.transactions import Store

STORE_FILE = "yard.db"


def store_option(parser: argparse.ArgumentParser) -> None:
    """Add --store."""
    parser.add_argument(
        "--store", metavar="URL",
        help="a file, sqlite:///FILE or postgresql://USER@HOST/DATABASE "
        f"(default {STORE_FILE} in the yard's folder)",
    )  # fmt: skip


def kept_store_options(parser: argparse.ArgumentParser) -> None:
    """Add --yard and --store of a command that takes all it needs from the store."""
    parser.add_argument(
        "--yard", type=Path, default=DEFAULT_YARD, metavar="DIR",
        help="the yard beside whose files the store lies (default demo_orders)",
    )  # fmt: skip
    store_option(parser)


def by_option(parser: argparse.ArgumentParser) -> None:
    """Add --by."""
    parser.add_argument(
        "--by", type=sentence, default="", metavar="NAME",
        help="who does it, as `hullpace user` knows them (default your account)",
    )  # fmt: skip


def why_option(parser: argparse.ArgumentParser) -> None:
    """Add --by and --why."""
    by_option(parser)
    parser.add_argument(
        "--why", type=sentence, default="", metavar="TEXT",
        help="the reason, kept in the log",
    )  # fmt: skip


def sentence(text: str) -> str:
    """A text of one line, for argparse."""
    if not text.isprintable():
        raise argparse.ArgumentTypeError("expected one line of printable text")
    return text


def store_address(args: argparse.Namespace) -> str:
    """The store that --store names, or the one beside the yard."""
    yard: Path = args.yard
    return str(args.store or yard / STORE_FILE)


def store_words(args: argparse.Namespace) -> str:
    """The option that names the same store in a command to copy; without a password."""
    from models.store.address import parse_address

    return f"--store {shlex.quote(parse_address(store_address(args)).shown)}"


def author(args: argparse.Namespace) -> Author:
    """Whoever --by names or runs the command, now, with the reason given."""
    from models.store.log import Author

    who = getattr(args, "by", "") or _user()
    return Author(who, datetime.now(UTC), getattr(args, "why", ""))


def shown_time(at: datetime, zone_name: str) -> str:
    """An instant on the yard's clock, to the minute."""
    return at.astimezone(ZoneInfo(zone_name)).strftime("%Y-%m-%d %H:%M")


def store_zone(store: Store) -> str:
    """The yard's time zone; an empty store has none."""
    from models.store.loads import current

    loaded = current(store).loaded
    return "UTC" if loaded is None else loaded.yard.yard.time_zone


def _user() -> str:
    try:
        name = getpass.getuser()
        return name if name.isprintable() else repr(name)
    except (KeyError, OSError):  # an account without a name, as in some containers
        return f"user {os.getuid()}"
