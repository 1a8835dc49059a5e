"""Checks of `jobs.csv`: each job whole, known to the yard, and possible."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from models.job_orders import job_model
from models.jobs import Job
from models.loading.checks.fit import FitChecks
from models.loading.checks.scope import YardScope
from models.loading.csv import Read, Table
from models.loading.faults import FaultLog, listed, one_of, quoted
from models.loading.jobs import OF_JOB, JobRow, jobs_of, to_job
from models.loading.orders import InHandRow, LockRow

Line = Read[JobRow]
MOLD_REPAIR = "mold-repair"


def check_jobs(
    table: Table[JobRow],
    yard: YardScope,
    models: Collection[str],
    orders: Collection[str],
    fit: FitChecks,
) -> dict[str, Job]:
    """Check all jobs; give those without a fault.

    `models` and `orders` hold the names of all boat models and orders. A job with a
    row that cannot be read is not looked at as a whole.
    """
    unread = {row.get("job") for row in table.bad}
    good: dict[str, Job] = {}
    for name, lines in jobs_of(table.good).items():
        before = yard.log.count
        if name in orders:
            expected = "a name that no order of the book has"
            _fault(yard.log, lines[0], "job", quoted(name), expected)
        for line in lines:
            _check_row(line, yard)
        if name in unread:
            continue
        _check_whole(lines, yard.log)
        if yard.log.count == before:
            job = to_job([line.value for line in lines])
            _check_names(job, lines[0], yard, models)
            if yard.log.count == before:
                _check_fit(job, lines, yard, fit)
        if yard.log.count == before:
            good[name] = job
    return good


def check_job_molds(
    lines: Sequence[Read[InHandRow]] | Sequence[Read[LockRow]],
    jobs: Mapping[str, Job],
    log: FaultLog,
) -> None:
    """Check that no row puts a mold repair into another mold than its own."""
    for line in lines:
        job, mold = jobs.get(line.value.order), line.value.mold
        if job is not None and mold is not None and mold != job.mold:
            own = "nothing, as it holds no mold" if job.mold is None else job.mold
            log.add(line.file, line.where("mold"), quoted(mold), own)


def _fault(log: FaultLog, line: Line, column: str, found: str, expected: str) -> None:
    log.add(line.file, line.where(column), found, expected)


def _check_row(line: Line, yard: YardScope) -> None:
    row = line.value
    stations = yard.known("stations", (one.id for one in yard.yard.stations))
    skills = yard.known("skills", (one.id for one in yard.yard.skills))
    for column, name, known in (
        ("station", row.station, stations),
        ("skill", row.skill, skills),
    ):
        if name not in known:
            expected = one_of(name, known, f"a {column} of the yard")
            _fault(yard.log, line, column, quoted(name), expected)
    if row.crew_max < row.crew_min:
        expected = f"at least {row.crew_min}, the smallest crew"
        _fault(yard.log, line, "crew_max", str(row.crew_max), expected)
    if row.leads_min is not None and row.leads_min > row.crew_min:
        expected = f"at most {row.crew_min}, the smallest crew"
        _fault(yard.log, line, "leads_min", str(row.leads_min), expected)


def _check_whole(lines: list[Line], log: FaultLog) -> None:
    """Check that the rows of one job go together."""
    first, seen = lines[0], set()
    for line in lines:
        if line.value.step in seen:
            found = f"'{line.value.step}' again"
            _fault(log, line, "step", found, "each step of a job once")
        seen.add(line.value.step)
        for column in OF_JOB:
            value, of_first = (getattr(one.value, column) for one in (line, first))
            if value not in (None, "", of_first):
                expected = f"blank, or as in {first.place}, the job's first"
                _fault(log, line, column, quoted(str(value)), expected)
    if first.value.kind is None:
        expected = "the kind of job: repair, warranty, mold-repair or show"
        _fault(log, first, "kind", "nothing", expected)
    last = lines[-1]
    if last.value.cure_hours is not None:
        found = f"{last.value.cure_hours:g} after the job's last step"
        expected = "a step after it that waits for the cure"
        _fault(log, last, "cure_hours", found, expected)
    earliest = first.value.earliest
    for column in ("promised", "wanted"):
        due = getattr(first.value, column)
        if due is not None and earliest is not None and due < earliest:
            expected = f"a date that is not before its earliest ({earliest})"
            _fault(log, first, column, str(due), expected)


def _check_names(
    job: Job, line: Line, yard: YardScope, models: Collection[str]
) -> None:
    """Check the mold, model and place of one job."""
    if job.model is not None and job.model not in models:
        expected = one_of(job.model, models, "a model with a file in boats")
        _fault(yard.log, line, "model", quoted(job.model), expected)
    _check_mold(job, line, yard)
    if job.place_kind is None or not yard.whole("places", "molds"):
        return
    model, places = job_model(job, yard.yard).id, yard.yard.places
    here = [one for one in places if one.kind == job.place_kind]
    if not here:
        known = {one.kind for one in places}
        expected = one_of(job.place_kind, known, "a kind of place of the yard")
        _fault(yard.log, line, "place_kind", quoted(job.place_kind), expected)
    elif not any(not one.models or model in one.models for one in here):
        taken = listed({name for one in here for name in one.models})
        expected = f"a model that such a place takes ({taken})"
        _fault(yard.log, line, "model", quoted(job.model), expected)


def _check_mold(job: Job, line: Line, yard: YardScope) -> None:
    if (job.kind == MOLD_REPAIR) != (job.mold is not None):
        expected = "the mold that is repaired"
        if job.kind != MOLD_REPAIR:
            expected = f"nothing, or the kind {MOLD_REPAIR}"
        _fault(yard.log, line, "mold", quoted(job.mold), expected)
        return
    molds = {one.id: one for one in yard.yard.molds}
    known = yard.known("molds", molds)
    if job.mold is not None and job.mold not in known:
        expected = one_of(job.mold, known, "a mold of the yard")
        _fault(yard.log, line, "mold", quoted(job.mold), expected)
    mold = molds.get(job.mold or "")
    if mold is None:
        return
    if job.model is not None and job.model not in mold.models:
        expected = one_of(job.model, mold.models, f"a model of {mold.id}")
        _fault(yard.log, line, "model", quoted(job.model), expected)


def _check_fit(job: Job, lines: list[Line], yard: YardScope, fit: FitChecks) -> None:
    if not yard.whole("calendars", "skills", "people", "allowances"):
        return
    steps = job_model(job, yard.yard).operations
    for line, step in zip(lines, steps, strict=True):
        fault = fit.fault(step, {})
        if fault:
            _fault(yard.log, line, "step", f"'{step.code}': {fault[0]}", fault[1])
