"""`hullpace user`: who works with the store, and who may do what."""

from __future__ import annotations

import argparse
import json
from textwrap import fill
from typing import Any

from models.users import ACTIONS, ROLES
from scheduler.commands.common import program, table, whole
from scheduler.commands.memory import (
    author,
    kept_store_options,
    sentence,
    store_address,
    why_option,
)

_NOTE = (
    "A name is taken at its word: this keeps people from mistakes, and is no lock. "
    "Whoever can write the database can change it."
)


def register(subparsers: Any) -> None:
    """Add the command to a parser."""
    parser = subparsers.add_parser(
        "user", help="who works with the store, and who may do what",
        description="Without WHAT, list users and what each role may do. A store "
        "without users lets everybody do everything.",
    )  # fmt: skip
    parser.add_argument(
        "what", nargs="?", choices=("set", "end"), metavar="WHAT",
        help="set NAME ROLE: give a role; end NAME: they work here no more",
    )  # fmt: skip
    parser.add_argument("name", nargs="?", type=_name, metavar="NAME")
    parser.add_argument(
        "role", nargs="?", choices=ROLES, metavar="ROLE", help=", ".join(ROLES)
    )
    parser.add_argument(
        "--after", type=whole, metavar="N",
        help="the version that you change; the list shows it",
    )  # fmt: skip
    kept_store_options(parser)
    why_option(parser)
    parser.add_argument("--json", action="store_true", help="print objects")
    parser.set_defaults(run=run, refuse=parser.error)


def run(args: argparse.Namespace) -> int:
    """List, or keep what is said of one user."""
    from models.store.transactions import open_store
    from models.store.users import keep_user

    if args.what == "set" and args.role is None:
        args.refuse("set needs NAME and ROLE")
    if args.what == "end" and (args.name is None or args.role is not None):
        args.refuse("end needs NAME and nothing more")
    store = open_store(store_address(args))
    if args.what is None:
        _list(store, args.json)
        return 0
    kept = keep_user(store, args.name, args.role, author(args), args.after)
    user = kept.user
    if args.json:
        print(json.dumps({**_object(user), "new": kept.new}))
        return 0
    already = "" if kept.new else " already; nothing was changed"
    state = f"has the role {user.role}" if user.active else "is not a user any more"
    print(f"{user.name} {state}{already} (version {user.version}).")
    return 0


def _list(store: Any, as_json: bool) -> None:
    from models.store.users import users_of

    known = list(users_of(store).values())
    if as_json:
        print(json.dumps([_object(one) for one in known]))
        return
    if not known:
        print(f"{store.shown} has no users: everybody may do everything.")
        print(f"The first one is an owner: {program()} user set NAME owner")
    else:
        rows = [
            (one.name, one.role if one.active else "ended", str(one.version))
            for one in known
        ]
        print("\n".join(table(("name", "role", "version"), rows)))
    print()
    for role, allowed in ROLES.items():
        told = ", ".join(ACTIONS[one] for one in allowed) or "only read"
        print(fill(f"{role:8} may {told}", 78, subsequent_indent=" " * 13))
    print(_NOTE)


def _object(user: Any) -> dict[str, Any]:
    return {
        "name": user.name,
        "role": user.role,
        "active": user.active,
        "version": user.version,
    }


def _name(text: str) -> str:
    """A name, for argparse."""
    name = sentence(text).strip()
    if not 0 < len(name) <= 60:
        raise argparse.ArgumentTypeError("expected a name of 1 to 60 characters")
    return name
