"""The little of a stored plan that recording asks for, without the rest of it."""

from __future__ import annotations

import zlib
from dataclasses import dataclass
from datetime import datetime

from pydantic import BaseModel, TypeAdapter
from sqlalchemy import Connection, select

from models.store.schema import plans


@dataclass(frozen=True, slots=True)
class Outline:
    """A plan's orders and its time."""

    orders: frozenset[str]
    time_zone: str
    frozen_until: datetime


class _Problem(BaseModel):
    time_zone: str
    frozen_until: datetime


class _Order(BaseModel):
    order: str


class _Answer(BaseModel):
    orders: list[_Order]


class _Document(BaseModel):
    problem: _Problem
    answer: _Answer


def read_outline(connection: Connection, plan: str) -> Outline:
    """Read it by the SHA-256 of the plan's text, inside a transaction."""
    query = select(plans.c.content).where(plans.c.digest == plan)
    content = zlib.decompress(connection.execute(query).scalar_one())
    document = TypeAdapter(_Document).validate_json(content)
    problem = document.problem
    orders = frozenset(one.order for one in document.answer.orders)
    return Outline(orders, problem.time_zone, problem.frozen_until)
