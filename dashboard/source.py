"""The plan file behind the board: read once, read again when the file changes."""

from __future__ import annotations

import threading
import time
from dataclasses import dataclass
from pathlib import Path

from dashboard.view import View, make_view
from models.errors import HullpaceError
from models.names import Names, load_names
from scheduler.plan_file import read_plan

Stamp = tuple[int, int, int]


@dataclass(frozen=True)
class NoSheet:
    """Why there is nothing to draw, and what to do about it."""

    title: str
    reason: str
    advice: str


@dataclass(frozen=True)
class Reading:
    """What the file held when it was last read."""

    stamp: str
    view: View | None
    trouble: NoSheet | None


class PlanSource:
    """Reads a plan file when asked, and only if it changed since the last time."""

    def __init__(self, path: Path, yard: Path) -> None:
        self.path = path
        self.yard = yard
        self._lock = threading.Lock()
        self._stamp: Stamp | None = None
        self._reading: Reading | None = None

    def reading(self) -> Reading:
        """The plan as it stands in the file now."""
        with self._lock:
            stamp = self._stamp_now()
            if self._reading is None or stamp != self._stamp:
                self._reading = self._read(stamp)
                self._stamp = stamp
            return self._reading

    def _stamp_now(self) -> Stamp | None:
        try:
            found = self.path.stat()
        except OSError:
            return None
        return found.st_mtime_ns, found.st_size, found.st_ino

    def _read(self, stamp: Stamp | None) -> Reading:
        version = "-".join(str(part) for part in stamp) if stamp else "none"
        if stamp is None:
            return Reading(version, None, _missing(self.path))
        try:
            plan = read_plan(self.path)
            names: Names = load_names(self.yard)
            view = make_view(plan, names)
            threading.Thread(target=warm, args=(view,), daemon=True).start()
            return Reading(version, view, None)
        except HullpaceError as error:
            return Reading(version, None, _broken(self.path, str(error)))
        except (KeyError, TypeError, ValueError, AttributeError, IndexError) as error:
            reason = f"{type(error).__name__}: {error}"
            return Reading(version, None, _broken(self.path, reason))


def warm(view: View) -> None:
    """Work out all causes in the background, so that a click is answered at once."""
    for row in view.rows:
        view.causes.waited_for(row.id)
        time.sleep(0.001)  # let requests go first


def _missing(path: Path) -> NoSheet:
    return NoSheet(
        "No plan yet",
        f"There is no file {path}.",
        f"Make one with: hullpace plan --out {path.parent}",
    )


def _broken(path: Path, reason: str) -> NoSheet:
    return NoSheet(
        "This plan cannot be read",
        f"{path} is not a whole plan file ({reason}).",
        f"Make it anew with: hullpace plan --out {path.parent}",
    )
