"""Long work on a store: a plan or trial in the making, and how far it is.

Not to be mixed up with the other jobs of a yard (`jobs`): nobody on the floor works on
these.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

WAITING, RUNNING = "waiting", "running"
DONE, FAILED, STOPPED = "done", "failed", "stopped"
BROKEN_OFF = "broken off"
SILENCE = timedelta(seconds=90)
"""Silent for longer than this, a job has no process any more."""


@dataclass(frozen=True, slots=True)
class PlanningJob:
    """What is asked of a process and what it last said.

    A job waits until its search begins: the book is read, inner loops are loaded.
    `plan` is the SHA-256 under which its plan is kept once published.
    """

    kind: str  # plan | trial
    arguments: dict[str, str]
    who: str
    began: datetime
    seen: datetime  # when its process last said something
    state: str = WAITING  # waiting | running | done | failed | stopped
    progress: str = ""
    ended: datetime | None = None
    plan: str | None = None
    file: str = ""  # where the plan was written
    reason: str = ""  # why it failed
    stop_asked_by: str = ""

    @property
    def is_over(self) -> bool:
        """Whether its process said that it has ended."""
        return self.state in (DONE, FAILED, STOPPED)


def state_at(job: PlanningJob, now: datetime) -> str:
    """Its state at an instant: a process that was killed does not say so itself."""
    return BROKEN_OFF if not job.is_over and now - job.seen > SILENCE else job.state
