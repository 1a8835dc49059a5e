"""Check a plan file by itself: does the answer keep every rule of the problem?

The module and its rules in `scheduler.checking` use the standard library only and
nothing else of the project, so that a fault of the planner cannot hide in the check.
Run it as `python scheduler/checker.py plan.json`.
"""

from __future__ import annotations

import gc
import json
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

if not __package__:  # run as a file: the rules are found from the folder above
    _HERE = Path(__file__).resolve().parent
    sys.path[:] = [str(_HERE.parent), *(one for one in sys.path if one != str(_HERE))]

from scheduler.checking.document import read_document
from scheduler.checking.given import check_given
from scheduler.checking.limits import check_limits
from scheduler.checking.overtime import check_overtime
from scheduler.checking.resources import (
    check_occupations,
    check_people,
    check_stations,
)
from scheduler.checking.score import check_score
from scheduler.checking.services import check_services
from scheduler.checking.setups import check_setups
from scheduler.checking.slots import check_slots
from scheduler.checking.waits import check_alone, check_waits
from scheduler.checking.work import check_once, check_work

RULES = (
    check_once,
    check_work,
    check_people,
    check_overtime,
    check_waits,
    check_alone,
    check_occupations,
    check_stations,
    check_setups,
    check_slots,
    check_services,
    check_limits,
    check_given,
    check_score,
)


@contextmanager
def _uncollected() -> Iterator[None]:
    """Leave the search for cycles of garbage out: a check makes none worth the time.

    A large plan is millions of small objects, and each search would walk them all.
    """
    running = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if running:
            gc.enable()


def check(document: dict[str, Any]) -> list[str]:
    """List every violation in a plan file, one sentence each.

    Parameters
    ----------
    document : dict
        The objects of a plan file (`hullpace-plan/1`) as `json` reads them. A file
        with missing or wrong fields is not an error: each is a sentence.

    Returns
    -------
    list of str
        Empty if the answer keeps every rule of the problem.
    """
    with _uncollected():
        plan, faults = read_document(document)
        if plan is None:
            return faults
        return [sentence for rule in RULES for sentence in rule(plan)]


def main(arguments: list[str]) -> int:
    """Check the plan file named on the command line."""
    if len(arguments) != 1:
        print("Usage: python scheduler/checker.py plan.json", file=sys.stderr)
        return 2
    try:
        document = json.loads(Path(arguments[0]).read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError) as error:
        print(f"{arguments[0]} cannot be read: {error}", file=sys.stderr)
        return 2
    sentences = check(document)
    for sentence in sentences:
        print(sentence)
    print(
        f"{len(sentences)} violations." if sentences else "The plan keeps every rule."
    )
    return 1 if sentences else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
