"""Roles, and what each may do."""

from __future__ import annotations

import pytest

from models.users import ACTIONS, OWNER, ROLES, User, may, refusal

KNOWN = {
    "ann": User("ann", 1, OWNER, True),
    "kim": User("kim", 1, "floor", True),
    "lee": User("lee", 2, "planner", False),
}


@pytest.mark.parametrize("action", ACTIONS)
def test_without_users_everybody_may_do_everything(action: str) -> None:
    """A store of which nobody said who may do what works as before."""
    assert refusal({}, "anybody", action) is None


def test_every_action_needs_a_role_that_has_it() -> None:
    """An owner may do all, a reader nothing, and only an owner says who may."""
    assert all(may(OWNER, action) for action in ACTIONS)
    assert not any(may("reader", action) for action in ACTIONS)
    assert [role for role in ROLES if may(role, "user")] == [OWNER]
    assert {one for allowed in ROLES.values() for one in allowed} == set(ACTIONS)


@pytest.mark.parametrize(
    ("name", "action", "told"),
    [
        ("kim", "publish", "'kim' has the role floor and may not publish a plan; that "
         "takes the role planner or owner"),
        ("lee", "load", "'lee' is not a user any more: say who you are with --by NAME"),
        ("joe", "load", "'joe' is not a user of this store: say who you are with --by "
         "NAME"),
        ("kim", "record", None),
        ("ann", "restore", None),
    ],
)  # fmt: skip
def test_who_is_refused_and_told_what(name: str, action: str, told: str | None) -> None:
    """One clear line says what is lacking."""
    assert refusal(KNOWN, name, action) == told
