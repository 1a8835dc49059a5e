"""What was written stays as it was written."""

from __future__ import annotations

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from models.store.guards import lift_guard, put_guard
from models.store.schema import metadata
from models.store.transactions import Store, write


@pytest.mark.parametrize("table", sorted(metadata.tables))
@pytest.mark.parametrize("change", ["UPDATE {} SET {} = {}", "DELETE FROM {}"])
def test_nothing_is_changed_or_removed(full: Store, table: str, change: str) -> None:
    """No row of any table can be changed or deleted by a statement."""
    column = next(iter(metadata.tables[table].columns)).name
    statement = text(change.format(table, column, column))
    with pytest.raises(DBAPIError, match="what was written is never changed"):
        write(full, lambda c: c.execute(statement))


def test_a_guard_can_be_lifted_and_put_again(loaded: Store) -> None:
    """Restoring empties a table; afterwards it is guarded as before."""
    statement = text("DELETE FROM order_versions")

    def work(connection: object) -> int:
        lift_guard(connection, "order_versions")  # type: ignore[arg-type]
        gone = connection.execute(statement).rowcount  # type: ignore[attr-defined]
        put_guard(connection, "order_versions")  # type: ignore[arg-type]
        return int(gone)

    assert write(loaded, work) == 2
