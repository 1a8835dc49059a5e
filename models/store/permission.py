"""Looking, inside a transaction, whether somebody may do what they are about to."""

from __future__ import annotations

from sqlalchemy import Connection, select

from models.errors import NotAllowed
from models.store.schema import users
from models.users import User, refusal


def read_users(connection: Connection) -> dict[str, User]:
    """Everybody who ever was a user, as they are now, by name."""
    query = select(users).order_by(users.c.name, users.c.version)
    return {
        row.name: User(row.name, row.version, row.role, bool(row.active))
        for row in connection.execute(query)
    }


def refuse_unless_allowed(connection: Connection, name: str, action: str) -> None:
    """Stop whoever may not do something.

    Raises
    ------
    NotAllowed
        If there are users, and this is none of them or has not the role.
    """
    reason = refusal(read_users(connection), name, action)
    if reason is not None:
        raise NotAllowed(f"{reason}. Nothing was changed")
