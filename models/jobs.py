"""Other jobs: repair, warranty, mold repair and work for a show (`jobs.csv`).

They take places, molds and hands like boats, but nobody ordered them as one.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

JOB_KINDS = {
    "repair": "Repair",
    "warranty": "Warranty",
    "mold-repair": "Mold repair",
    "show": "Show preparation",
}


@dataclass(frozen=True, slots=True)
class JobStep:
    """One step of a job; its labor is as typed, without an allowance.

    `cure_hours` pass on the wall clock from its end to the next step's start.
    """

    code: str
    station: str
    skill: str
    labor_hours: float
    crew_min: int
    crew_max: int
    one_go: bool = False
    cure_hours: float | None = None
    leads_min: int = 0  # of its crew who have the skill in full, where it is learned


@dataclass(frozen=True, slots=True)
class Job:
    """Steps one after the other, and what they hold from the first to the last.

    `model` is that of the boat worked on, `mold` the mold that is repaired.
    """

    job: str
    kind: str  # a key of JOB_KINDS
    steps: tuple[JobStep, ...]
    model: str | None = None
    mold: str | None = None
    place_kind: str | None = None
    earliest: date | None = None
    wanted: date | None = None
    promised: date | None = None
    weight: int = 1
    note: str = ""
