"""Who may change what is kept: roles, and what each of them may do."""

from __future__ import annotations

from dataclasses import dataclass

OWNER = "owner"
# What is done to a store, by its action in the log, in words.
ACTIONS = {
    "load": "load files",
    "order": "change an order",
    "publish": "publish a plan",
    "record": "record what the floor did",
    "reservation": "reserve a slot, accept or decline a quote",
    "standard": "decide on a standard",
    "stop": "stop a job",
    "restore": "restore a backup",
    "user": "say who may do what",
}
ROLES: dict[str, tuple[str, ...]] = {
    "planner": (
        *("load", "order", "publish", "record", "reservation", "standard", "stop"),
    ),
    "sales": ("reservation",),
    "floor": ("record",),
    OWNER: tuple(ACTIONS),
    "reader": (),
}


@dataclass(frozen=True, slots=True)
class User:
    """Somebody who works with the store; `version` counts what was said of them."""

    name: str
    version: int
    role: str  # one of ROLES
    active: bool


def may(role: str, action: str) -> bool:
    """Whether a role allows an action."""
    return action in ROLES[role]


def refusal(users: dict[str, User], name: str, action: str) -> str | None:
    """Say why somebody may not do something; None if they may.

    Parameters
    ----------
    users : dict
        By name; without any, everybody may do everything.
    name : str
        Who would do it.
    action : str
        One of ACTIONS.
    """
    if not users:
        return None
    user = users.get(name)
    if user is None or not user.active:
        ended = "is not a user any more" if user else "is not a user of this store"
        return f"{name!r} {ended}: say who you are with --by NAME"
    if may(user.role, action):
        return None
    others = " or ".join(role for role in ROLES if may(role, action))
    return (
        f"{name!r} has the role {user.role} and may not {ACTIONS[action]}; "
        f"that takes the role {others}"
    )
