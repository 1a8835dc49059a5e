"""Saying who works with the store, in which role, and who does no more."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection

from models.errors import ChangeRefused, Overtaken, UsageError
from models.store.log import Author, append
from models.store.permission import read_users
from models.store.schema import users
from models.store.transactions import Store, read, write
from models.users import OWNER, User


@dataclass(frozen=True, slots=True)
class Kept:
    """A user as they are now; `new` is False where that was so before."""

    user: User
    new: bool


def users_of(store: Store) -> dict[str, User]:
    """Everybody who ever was a user, as they are now, by name."""
    return read(store, read_users)


def keep_user(
    store: Store, name: str, role: str | None, author: Author, after: int | None
) -> Kept:
    """Give somebody a role, or end that they are a user.

    Parameters
    ----------
    name : str
        As others know them.
    role : str or None
        One of `models.users.ROLES`; None ends.
    author : Author
        Who says so, when, and why.
    after : int or None
        The version of the user that is to be replaced; None for a new one.

    Raises
    ------
    ChangeRefused
        If no owner would be left.
    NotAllowed
        If the author may not do that.
    Overtaken
        If somebody else has changed the user since that version.
    UsageError
        If a user is changed without a version, or there is none of that name.
    """

    def work(connection: Connection) -> Kept:
        known = read_users(connection)
        old = known.get(name)
        if old is None and (role is None or after is not None):
            raise UsageError(f"{name!r} is not a user of {store.shown}")
        if old is not None and (old.role if old.active else None) == role:
            return Kept(old, False)
        if old is not None:
            _refuse_overtaken(old, after)
        version = 1 if old is None else old.version + 1
        held = role or (old.role if old is not None else OWNER)
        made = User(name, version, held, role is not None)
        _refuse_without_owner({**known, name: made})
        details = {"user": name, "role": made.role, "active": made.active}
        entry = append(connection, author, "user", details)
        connection.execute(
            users.insert().values(
                name=name,
                version=version,
                role=made.role,
                active=int(made.active),
                entry=entry,
            )
        )
        return Kept(made, True)

    return write(store, work)


def _refuse_overtaken(old: User, after: int | None) -> None:
    state = f"{old.name!r} has the role {old.role}{'' if old.active else ', ended'}"
    if after is None:
        raise UsageError(
            f"{state}, in version {old.version}: to change that, --after {old.version}"
        )
    if after != old.version:
        raise Overtaken(
            f"{state}, in version {old.version} by now, not {after}: look again with "
            "hullpace user"
        )


def _refuse_without_owner(known: dict[str, User]) -> None:
    if not any(one.active and one.role == OWNER for one in known.values()):
        raise ChangeRefused(
            "there must be an owner, or nobody could say who may do what: make one "
            "first, hullpace user set NAME owner"
        )
