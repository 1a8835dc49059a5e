"""Reading `jobs.csv`: other jobs, one row a step."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated, Literal

from pydantic import BeforeValidator

from models.jobs import Job, JobStep
from models.loading.csv import Read, Table
from models.loading.fields import (
    CellCode,
    CellCrew,
    CellDate,
    CellHours,
    CellLabor,
    CellLeads,
    CellWeight,
    CellYes,
    Code,
    Label,
    Row,
)

# Columns of the whole job: in its first row, and blank or the same in the others.
OF_JOB = (
    "kind",
    "model",
    "mold",
    "place_kind",
    "earliest",
    "wanted",
    "promised",
    "weight",
    "note",
)


def _blank(value: object) -> object:
    return None if value == "" else value


Kind = Literal["repair", "warranty", "mold-repair", "show"]


class JobRow(Row):
    job: Code
    kind: Annotated[Kind | None, BeforeValidator(_blank)]
    step: Code
    station: Code
    skill: Code
    labor_hours: CellLabor
    crew_min: CellCrew
    crew_max: CellCrew
    leads_min: CellLeads = None
    one_go: CellYes = None
    cure_hours: CellHours = None
    model: CellCode = None
    mold: CellCode = None
    place_kind: CellCode = None
    earliest: CellDate = None
    wanted: CellDate = None
    promised: CellDate = None
    weight: CellWeight = None
    note: Label = ""


def jobs_of(lines: Iterable[Read[JobRow]]) -> dict[str, list[Read[JobRow]]]:
    """Rows of each job, in their order."""
    out: dict[str, list[Read[JobRow]]] = {}
    for line in lines:
        out.setdefault(line.value.job, []).append(line)
    return out


def job_names(table: Table[JobRow]) -> set[str]:
    """Names of all jobs with a row, good or bad."""
    good = {line.value.job for line in table.good}
    return good | {row["job"] for row in table.bad if "job" in row}


def to_job(rows: list[JobRow]) -> Job:
    """Make a job of its good rows; the first one says its kind."""
    first = rows[0]
    assert first.kind is not None
    return Job(
        job=first.job,
        kind=first.kind,
        steps=tuple(
            JobStep(
                code=row.step,
                station=row.station,
                skill=row.skill,
                labor_hours=row.labor_hours,
                crew_min=row.crew_min,
                crew_max=row.crew_max,
                leads_min=row.leads_min or 0,
                one_go=row.one_go == "yes",
                cure_hours=row.cure_hours,
            )
            for row in rows
        ),
        model=first.model,
        mold=first.mold,
        place_kind=first.place_kind,
        earliest=first.earliest,
        wanted=first.wanted,
        promised=first.promised,
        weight=first.weight or 1,
        note=first.note,
    )
