"""Publishing plans: which plan the floor works to, and every one before it."""

from __future__ import annotations

import json
import zlib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Row, Select, select

from models.errors import Overtaken, UsageError
from models.store.decisions import standards_source
from models.store.documents import digest
from models.store.known_entries import SOURCE, later_entries
from models.store.log import Author, append
from models.store.numbering import next_number
from models.store.reservations import SOURCE as RESERVATION
from models.store.reservations import reservation_sources
from models.store.schema import loads, log, plans, publications
from models.store.transactions import Store, read, write


@dataclass(frozen=True, slots=True)
class Publication:
    """That a plan was published: by whom, when, why, and upon which load."""

    entry: int  # of the log
    number: int
    plan: str  # SHA-256 of its text
    load: int
    who: str
    at: datetime
    why: str

    @property
    def shown_at(self) -> str:
        """When, to the minute, in UTC."""
        return f"{self.at:%Y-%m-%d %H:%M} UTC"


@dataclass(frozen=True, slots=True)
class Published:
    """What publishing did. `before` was published until then.

    `done` is False where `before` would be replaced and nobody said that it is known.
    """

    before: Publication | None
    number: int
    done: bool


def publish(
    store: Store,
    document: Mapping[str, Any],
    author: Author,
    replaces: int | None,
    entries: int | None = None,
) -> Published:
    """Make a plan the one that the floor works to.

    Parameters
    ----------
    document : mapping
        The objects of a plan file that keeps every rule; the caller has checked it.
    author : Author
        Who publishes, when, and why.
    replaces : int or None
        The published plan that the new one was compared with. Without it only a first
        plan is published. The plan that is published already changes nothing.
    entries : int or None
        The newest entry from the floor that the publisher knows of although the plan
        does not.

    Raises
    ------
    Overtaken
        If the plan was made from other data than was loaded last, or another plan than
        `replaces` is published by now, or the floor has recorded entries since.
    UsageError
        If nothing was loaded yet.
    """
    text = _to_text(document)
    name = digest(text)
    content = zlib.compress(text.encode("utf-8"))

    def work(connection: Connection) -> Published:
        before = newest(connection)
        if before is not None and before.plan == name:
            return Published(before, before.number, True)
        load = _load_of(connection, document["inputs"], author.at)
        if before is not None and replaces is None:
            return Published(before, before.number, False)
        _refuse_overtaken(before, replaces)
        _refuse_unknown(later_entries(connection, document["inputs"]), entries)
        number = next_number(connection, "publications")
        details = {"plan": number, "load": load, "replaces": replaces}
        entry = append(connection, author, "publish", details)
        known = select(plans.c.digest).where(plans.c.digest == name)
        if connection.execute(known).first() is None:
            values = {"digest": name, "content": content, "entry": entry}
            connection.execute(plans.insert().values(values))
        row = {"number": number, "plan": name, "load": load, "entry": entry}
        connection.execute(publications.insert().values(row))
        return Published(before, number, True)

    return write(store, work)


def newest(connection: Connection) -> Publication | None:
    """The plan that is published now, if there is one."""
    query = _query().order_by(publications.c.number.desc()).limit(1)
    row = connection.execute(query).first()
    return None if row is None else _publication(row)


def history(store: Store) -> list[Publication]:
    """Every publication, oldest first."""
    return read(store, publications_of)


def publications_of(connection: Connection) -> list[Publication]:
    """Every publication, oldest first, inside a transaction."""
    query = _query().order_by(publications.c.number)
    return [_publication(row) for row in connection.execute(query)]


def read_document(connection: Connection, plan: str) -> dict[str, Any]:
    """The objects of a plan file by the SHA-256 of its text, inside a transaction."""
    query = select(plans.c.content).where(plans.c.digest == plan)
    content = connection.execute(query).scalar_one()
    document: dict[str, Any] = json.loads(zlib.decompress(content))
    return document


def read_plan(
    store: Store, number: int | None = None
) -> tuple[Publication, dict[str, Any]]:
    """Read a published plan as the objects of its file; the newest without a number.

    Raises
    ------
    UsageError
        If no plan, or none of this number, was published.
    """

    def work(connection: Connection) -> tuple[Publication, dict[str, Any]]:
        if number is None:
            found = newest(connection)
        else:
            query = _query().where(publications.c.number == number)
            row = connection.execute(query).first()
            found = None if row is None else _publication(row)
        if found is None:
            which = "plan" if number is None else f"plan {number}"
            raise UsageError(f"no {which} was published in {store.shown} yet")
        return found, read_document(connection, found.plan)

    return read(store, work)


def plan_digest(document: Mapping[str, Any]) -> str:
    """By what a plan is known once it is published: the SHA-256 of its text."""
    return digest(_to_text(document))


def _to_text(document: Mapping[str, Any]) -> str:
    return json.dumps(
        document, sort_keys=True, ensure_ascii=False, separators=(",", ":")
    )


def _query() -> Select[Any]:
    who = (log.c.who, log.c.at, log.c.why)
    entry = publications.join(log, publications.c.entry == log.c.entry)
    return select(publications, *who).select_from(entry)


def _publication(row: Row[Any]) -> Publication:
    at = datetime.fromisoformat(row.at)
    return Publication(row.entry, row.number, row.plan, row.load, row.who, at, row.why)


def _load_of(connection: Connection, inputs: Mapping[str, str], at: datetime) -> int:
    """The newest load, if the plan was made from just what it took in."""
    query = select(loads.c.number, loads.c.sources).order_by(loads.c.number.desc())
    row = connection.execute(query.limit(1)).first()
    if row is None:
        raise UsageError("nothing was loaded yet: run `hullpace load` first")
    sources = json.loads(row.sources) | standards_source(connection)
    reserved = reservation_sources(connection, at)
    # A slot that is kept although its reservation has run out does no harm.
    inputs = {
        name: value
        for name, value in inputs.items()
        if not name.startswith(RESERVATION) or name in reserved
    }
    sources |= reserved
    names = sorted(
        name
        for name in (sources.keys() | inputs.keys()) - {SOURCE}
        if sources.get(name) != inputs.get(name)
    )
    if names:
        raise Overtaken(
            f"the plan was made from other data than load {row.number}: "
            f"{', '.join(names)}. Nothing was published. Load the files of the plan, "
            "or plan anew from what the store holds: hullpace plan --store URL"
        )
    return int(row.number)


def _refuse_overtaken(before: Publication | None, replaces: int | None) -> None:
    number = 0 if before is None else before.number
    if (replaces or 0) == number:
        return
    if before is None:
        raise UsageError(f"--replaces {replaces}: no plan was published yet")
    raise Overtaken(
        f"plan {number} is published by now, by {before.who} ({before.shown_at}). "
        f"Nothing was published. Compare again: hullpace diff {number} PLAN"
    )


def _refuse_unknown(later: list[int], known: int | None) -> None:
    """Refuse a plan that does not know what the floor has recorded."""
    unknown = [number for number in later if number > (known or 0)]
    if not unknown:
        return
    which = f"entry {unknown[0]} was"
    if len(unknown) > 1:
        which = f"entries {unknown[0]} to {unknown[-1]} were"
    raise Overtaken(
        f"{which} recorded since the plan read the floor's entries. Nothing was "
        "published. Plan again: hullpace plan --store URL; or, if the plan holds all "
        f"the same, publish with --entries {unknown[-1]}"
    )
