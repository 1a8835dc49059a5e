"""Plans and trials in the making."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

from models.planning_jobs import (
    BROKEN_OFF,
    DONE,
    RUNNING,
    SILENCE,
    PlanningJob,
    state_at,
)

NOON = datetime(2026, 11, 30, 12, tzinfo=UTC)
JOB = PlanningJob("plan", {}, "ann", NOON, NOON, RUNNING)


def test_a_silent_job_is_broken_off() -> None:
    """A killed process says nothing; one that has ended need not."""
    assert state_at(JOB, NOON + SILENCE) == RUNNING
    later = NOON + SILENCE + timedelta(seconds=1)
    assert state_at(JOB, later) == BROKEN_OFF
    assert state_at(replace(JOB, state=DONE), later) == DONE
