"""The tables that the steps make."""

from __future__ import annotations

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import event, inspect, text

from models.errors import StoreFault
from models.store import upgrade as steps
from models.store.address import parse_address
from models.store.engine import make_engine
from models.store.schema import metadata
from models.store.transactions import Store, open_store, read, write


def test_the_steps_make_the_tables_of_today(store: Store) -> None:
    """Tables and columns made step by step are those that the code expects."""

    def differences(connection: object) -> object:
        return compare_metadata(MigrationContext.configure(connection), metadata)  # type: ignore[arg-type]

    assert read(store, differences) == []


def test_the_newest_step_is_known() -> None:
    """`HEAD` names the newest step, and the steps are one line."""
    script = ScriptDirectory.from_config(steps._config())
    assert script.get_heads() == [steps.HEAD]


def test_a_newer_store_is_refused(store: Store) -> None:
    """A store of a newer program is not touched."""
    write(
        store, lambda c: c.execute(text("UPDATE alembic_version SET version_num='x'"))
    )
    with pytest.raises(StoreFault, match="newer version"):
        open_store(str(store.address.file or store.address.url), create=True)


def test_every_step_is_whole_or_not_at_all(address: str) -> None:
    """Whichever statement of making a store fails, the next try makes it whole."""
    where = parse_address(address)
    store = Store(where, make_engine(where))
    tables = set(metadata.tables) | {"alembic_version"}
    failed = 0
    while True:
        seen = 0

        @event.listens_for(store.engine, "before_cursor_execute")
        def fail(*args: object, allowed: int = failed) -> None:
            nonlocal seen
            seen += 1
            if seen > allowed:
                raise OSError("no room")

        try:
            write(store, steps.upgrade)
            break
        except OSError:
            failed += 1
        finally:
            event.remove(store.engine, "before_cursor_execute", fail)
        assert read(store, lambda c: inspect(c).get_table_names()) == []
    assert failed > len(tables)
    assert set(read(store, lambda c: inspect(c).get_table_names())) == tables
