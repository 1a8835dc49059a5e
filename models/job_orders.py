"""Other jobs as orders with routings of their own, so that a plan treats both alike."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from itertools import pairwise

from models.boat import BoatModel, Part, RoutingOperation, RoutingWait, WorkLine
from models.jobs import JOB_KINDS, Job, JobStep
from models.orders import Book, Lock, Order
from models.yard import Yard

WORK = "work"  # the part of a job that stands in a place, or nowhere


def work_orders(book: Book) -> tuple[Order, ...]:
    """Everything to be planned: the boats, then the other jobs."""
    return (*book.orders, *(job_order(one, book.yard) for one in book.jobs))


def work_models(book: Book) -> dict[str, BoatModel]:
    """The model of each boat and what stands for one of each job, by order."""
    boats = {one.order: book.models[one.model] for one in book.orders}
    return boats | {one.job: job_model(one, book.yard) for one in book.jobs}


def job_order(job: Job, yard: Yard) -> Order:
    """A job as an order; its kind stands where a boat has its customer."""
    return Order(
        order=job.job,
        customer_ref=JOB_KINDS[job.kind],
        model=_model_id(job, yard),
        options=(),
        graphics=None,
        wanted=job.wanted,
        promised=job.promised,
        release=job.earliest,
        weight=job.weight,
        note=job.note,
    )


def job_model(job: Job, yard: Yard) -> BoatModel:
    """The routing of one job: its steps in their order, with their cures between."""
    parts = tuple(_parts(job, yard))
    return BoatModel(
        id=_model_id(job, yard),
        name=JOB_KINDS[job.kind],
        length_ft=0.0,
        quantities={},
        parts=parts,
        operations=tuple(_operation(step, parts) for step in job.steps),
        waits=tuple(_wait(one, after) for one, after in pairwise(job.steps)),
        options=(),
        graphics=(),
    )


def with_job_molds(book: Book) -> Book:
    """A book in which each mold repair is pinned to its mold.

    Work in hand says itself in which mold it is.
    """
    jobs = {one.job: one for one in book.jobs if one.mold is not None}
    if not jobs:
        return book
    locks = tuple(_with_mold(lock, jobs) for lock in book.locks)
    named = {(lock.order, lock.operation) for lock in locks}
    pins = (
        Lock(name, one.steps[0].code, None, one.mold)
        for name, one in jobs.items()
        if (name, one.steps[0].code) not in named
    )
    return replace(book, locks=(*locks, *pins))


def _with_mold(lock: Lock, jobs: Mapping[str, Job]) -> Lock:
    job = jobs.get(lock.order)
    if job is None or lock.operation != job.steps[0].code:
        return lock
    return replace(lock, mold=job.mold)


def _model_id(job: Job, yard: Yard) -> str:
    """The model that decides which molds and places fit; else the kind of job."""
    if job.model is not None:
        return job.model
    for mold in yard.molds:
        if mold.id == job.mold:
            return mold.models[0]
    return job.kind


def _parts(job: Job, yard: Yard) -> Iterator[Part]:
    first, last = job.steps[0].code, job.steps[-1].code
    for mold in yard.molds:
        if mold.id == job.mold:
            yield Part(mold.part, f"Mold {mold.id}", mold_from=first, mold_to=last)
    if job.place_kind is not None:
        yield Part(
            WORK,
            JOB_KINDS[job.kind],
            place_kind=job.place_kind,
            place_from=first,
            place_to=last,
        )
    elif job.mold is None:
        yield Part(WORK, JOB_KINDS[job.kind])


def _operation(step: JobStep, parts: tuple[Part, ...]) -> RoutingOperation:
    return RoutingOperation(
        code=step.code,
        name=step.code,
        parts=tuple(part.id for part in parts),
        station=step.station,
        skill=step.skill,
        crew_min=step.crew_min,
        crew_max=step.crew_max,
        leads_min=step.leads_min,
        work=(WorkLine("As entered for the job", "fixed", step.labor_hours),),
        one_go=step.one_go,
    )


def _wait(step: JobStep, after: JobStep) -> RoutingWait:
    if step.cure_hours is None:
        return RoutingWait("sequence", step.code, after.code)
    return RoutingWait(
        "cure",
        step.code,
        after.code,
        min_hours=step.cure_hours,
        data_sheet_min_hours=step.cure_hours,
    )
