"""Plans and trials in the making: what their processes say of them, row after row.

Each row is the whole job as it was then; the newest one holds. Work that changes
nothing of the yard is no entry of the log, but stopping somebody's work is.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, and_, func, select

from models.errors import Overtaken, UsageError
from models.planning_jobs import BROKEN_OFF, PlanningJob, state_at
from models.store.documents import digest, from_text, to_text
from models.store.log import Author, append
from models.store.numbering import next_number
from models.store.schema import jobs
from models.store.transactions import Store, read, write


def begin(store: Store, kind: str, arguments: Mapping[str, str], author: Author) -> int:
    """Keep that work begins, and give the job's number."""
    made = PlanningJob(kind, dict(arguments), author.who, author.at, author.at)

    def work(connection: Connection) -> int:
        number = next_number(connection, "jobs")
        _keep(connection, number, 1, made)
        return number

    return write(store, work)


def tell(store: Store, number: int, at: datetime, **news: Any) -> PlanningJob | None:
    """Keep what a job's process says now; the job, with what others asked of it.

    Parameters
    ----------
    at : datetime
        When that is, an instant.
    **news
        Fields of the job that are new.

    Returns
    -------
    PlanningJob or None
        None if a restore has taken the job away: then nobody can ask for it.
    """

    def work(connection: Connection) -> PlanningJob | None:
        found = _newest(connection, number)
        if found is None:
            return None
        made = replace(found[1], seen=at, **news)
        _keep(connection, number, found[0] + 1, made)
        return made

    return write(store, work)


def ask_to_stop(store: Store, number: int, author: Author) -> PlanningJob:
    """Ask a job to end with the best that it has found so far.

    Raises
    ------
    Overtaken
        If it has ended or was broken off.
    UsageError
        If there is no such job.
    """

    def work(connection: Connection) -> PlanningJob:
        found = _newest(connection, number)
        if found is None:
            raise UsageError(f"no job {number} in {store.shown}: see hullpace jobs")
        version, job = found
        state = state_at(job, author.at)
        if job.is_over or state == BROKEN_OFF:
            raise Overtaken(f"job {number} is {state}: there is nothing to stop")
        if job.stop_asked_by:
            return job
        made = replace(job, stop_asked_by=author.who)
        details = {"job": number, "kind": job.kind, "of": job.who}
        entry = append(connection, author, "stop", details)
        _keep(connection, number, version + 1, made, entry)
        return made

    return write(store, work)


def is_asked_to_stop(store: Store, number: int) -> bool:
    """Whether somebody has asked that a job end."""
    found = read(store, lambda connection: _newest(connection, number))
    return found is not None and bool(found[1].stop_asked_by)


def jobs_of(store: Store) -> dict[int, PlanningJob]:
    """Every job as it was last, by its number."""
    return read(store, _read)


def _read(connection: Connection) -> dict[int, PlanningJob]:
    newest = (
        select(jobs.c.number, func.max(jobs.c.version).label("v"))
        .group_by(jobs.c.number)
        .subquery()
    )
    here = and_(jobs.c.number == newest.c.number, jobs.c.version == newest.c.v)
    query = select(jobs).join(newest, here).order_by(jobs.c.number)
    return {
        row.number: from_text(PlanningJob, row.content)
        for row in connection.execute(query)
    }


def _newest(connection: Connection, number: int) -> tuple[int, PlanningJob] | None:
    query = select(jobs).where(jobs.c.number == number)
    row = connection.execute(query.order_by(jobs.c.version.desc()).limit(1)).first()
    return None if row is None else (row.version, from_text(PlanningJob, row.content))


def _keep(
    connection: Connection,
    number: int,
    version: int,
    job: PlanningJob,
    entry: int | None = None,
) -> None:
    content = to_text(job)
    connection.execute(
        jobs.insert().values(
            number=number,
            version=version,
            digest=digest(content),
            content=content,
            entry=entry,
        )
    )
