"""`hullpace jobs`: plans and trials that a store is asked for, and stopping one."""

from __future__ import annotations

import argparse
import json
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from models.planning_jobs import state_at
from scheduler.commands.common import table, whole
from scheduler.commands.memory import (
    author,
    kept_store_options,
    shown_time,
    store_address,
    store_zone,
    why_option,
)

if TYPE_CHECKING:
    from models.planning_jobs import PlanningJob
    from models.store.transactions import Store

MOST_SHOWN = 20


def register(subparsers: Any) -> None:
    """Add the command to a parser."""
    parser = subparsers.add_parser(
        "jobs", help="plans and trials in the making on a store, and those before",
        description="Without WHAT, list what was asked of a store: who, when, how far "
        "it is and which plan came of it.",
    )  # fmt: skip
    parser.add_argument(
        "what", nargs="?", choices=("stop",), metavar="WHAT",
        help="stop N: end job N now; it keeps the best plan so far",
    )  # fmt: skip
    parser.add_argument("number", nargs="?", type=whole, metavar="N")
    parser.add_argument(
        "--all", action="store_true", help=f"more than the newest {MOST_SHOWN}"
    )
    kept_store_options(parser)
    why_option(parser)
    parser.add_argument("--json", action="store_true", help="print objects")
    parser.set_defaults(run=run, refuse=parser.error)


def run(args: argparse.Namespace) -> int:
    """List jobs, or ask one to stop; 1 if it has ended."""
    from models.store.transactions import open_store

    if args.what is not None and args.number is None:
        args.refuse("stop needs the number of a job")
    store = open_store(store_address(args))
    if args.what is None:
        _list(args, store)
        return 0
    from models.store.jobs import ask_to_stop

    job = ask_to_stop(store, args.number, author(args))
    if args.json:
        print(json.dumps(_object(args.number, job, "")))
        return 0
    print(
        f"Job {args.number} of {job.who} is asked to stop, and keeps the best plan so "
        "far."
    )
    return 0


def _list(args: argparse.Namespace, store: Store) -> None:
    from models.store.jobs import jobs_of
    from models.store.plans import history

    found = list(jobs_of(store).items())
    shown = found if args.all else found[-MOST_SHOWN:]
    published = {one.plan: f"plan {one.number}" for one in history(store)}
    objects = [_object(n, job, published.get(job.plan or "", "")) for n, job in shown]
    if args.json:
        print(json.dumps(objects))
        return
    if not shown:
        print(f"Nothing was planned from {store.shown} yet.")
        return
    zone = store_zone(store)
    rows = [
        (n, job.kind, one["state"], job.who, *_times(job, zone), _told(job, one))
        for (n, job), one in zip(shown, objects, strict=True)
    ]
    heads = ("job", "what", "state", "who", "began", "ended", "")
    print("\n".join(table(heads, rows, "r")))
    if len(shown) < len(found):
        print(f"{len(found) - len(shown)} earlier ones: --all")
    print(f"Times in {zone}.")


def _times(job: PlanningJob, zone: str) -> tuple[str, str]:
    ended = "" if job.ended is None else shown_time(job.ended, zone)
    return shown_time(job.began, zone), ended


def _told(job: PlanningJob, shown: dict[str, Any]) -> str:
    """What came of it, or how far it is."""
    if job.reason:
        return job.reason
    if job.plan is not None:
        return str(shown["published"] or job.file)
    if job.is_over:
        return ""
    asked = f"; {job.stop_asked_by} asked it to stop" if job.stop_asked_by else ""
    return f"{job.progress or 'getting ready'}{asked}"


def _object(number: int, job: PlanningJob, published: str) -> dict[str, Any]:
    return {
        "job": number,
        "what": job.kind,
        "state": state_at(job, datetime.now(UTC)),
        "who": job.who,
        "arguments": job.arguments,
        "began": job.began.isoformat(),
        "seen": job.seen.isoformat(),
        "ended": None if job.ended is None else job.ended.isoformat(),
        "progress": job.progress,
        "plan": job.plan,
        "file": job.file,
        "published": published,
        "reason": job.reason,
        "stop_asked_by": job.stop_asked_by,
    }
