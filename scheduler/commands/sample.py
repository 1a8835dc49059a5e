"""`hullpace sample`: a yard of another size with a random book, in the same format."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from models.errors import UsageError
from models.sample.rules import RULES
from scheduler.commands.common import DEFAULT_YARD, positive, whole, whole_or_zero


def register(subparsers: Any) -> None:
    """Add the command to a parser."""
    parser = subparsers.add_parser("sample", help="write a yard of another size")
    parser.add_argument("--boats", type=whole, required=True, metavar="N")
    parser.add_argument(
        "--seed", type=whole_or_zero, default=1, metavar="S", help="default 1"
    )
    parser.add_argument(
        "--load", type=positive, default=1.0, metavar="L",
        help="work of the busiest resource over what it can give while boats take "
        "their turns; each is due a lead time later",
    )  # fmt: skip
    parser.add_argument(
        "--scale", type=positive, metavar="K",
        help="size against the yard it is drawn from (default by the boats)",
    )  # fmt: skip
    parser.add_argument(
        "--learning", type=_rate, metavar="RATE",
        help="every model is new: hours fall to RATE (0.6 to 1) at each doubling",
    )  # fmt: skip
    parser.add_argument(
        "--rules", type=_rules, default=(), metavar="NAMES",
        help=f"further rules of the shop, with commas: all, or {', '.join(RULES)}",
    )  # fmt: skip
    parser.add_argument("--from", dest="base", type=Path, default=DEFAULT_YARD)
    parser.add_argument("--out", type=Path, required=True, metavar="DIR")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Write the files; an existing folder that holds a yard is not overwritten."""
    from models.sample import write_sample

    if (args.out / "yard.toml").exists():
        raise UsageError(f"{args.out} holds a yard already: name another folder")
    write_sample(
        args.out,
        args.base,
        args.boats,
        args.seed,
        args.load,
        args.scale,
        args.learning,
        args.rules,
    )
    print(f"{args.boats} boats in {args.out}: hullpace plan --yard {args.out}")
    return 0


def _rules(text: str) -> tuple[str, ...]:
    """Names of rules, for argparse."""
    names = RULES if text == "all" else tuple(sorted(set(text.split(","))))
    unknown = set(names) - set(RULES)
    if unknown:
        raise argparse.ArgumentTypeError(
            f"{min(unknown)!r} is no rule; there are {', '.join(RULES)}, or all"
        )
    return names


def _rate(text: str) -> float:
    """A learning rate, for argparse."""
    value = positive(text)
    if not 0.6 <= value <= 1:
        raise argparse.ArgumentTypeError(f"{text} is not a rate from 0.6 to 1")
    return value
