"""Making the tables of a new store, and bringing an older one up to date."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import Connection, inspect, text

from models.errors import StoreFault

if TYPE_CHECKING:
    from alembic.config import Config

HEAD = "jobs"  # newest file of migrations/versions; a test holds that
SQLITE_APPLICATION = 0x48554C4C  # in the file's header: it is a store of ours
_STEPS = Path(__file__).parent / "migrations"


def revision(connection: Connection) -> str | None:
    """The step that a store is at; None for an empty database.

    Raises
    ------
    StoreFault
        If the database holds something else.
    """
    tables = inspect(connection).get_table_names()
    if not tables:
        return None
    if "alembic_version" not in tables or "order_versions" not in tables:
        raise StoreFault(
            "that database holds tables of something else: name one of its own"
        )
    found = connection.execute(text("SELECT version_num FROM alembic_version"))
    return str(found.scalar_one())


def is_current(connection: Connection) -> bool:
    """Whether the store has the tables of today.

    Raises
    ------
    StoreFault
        If it was made by a newer version of the program.
    """
    found = revision(connection)
    if found is not None and found != HEAD and found not in _known_steps():
        raise StoreFault(
            f"the store was made by a newer version (step '{found}'): update hullpace"
        )
    return found == HEAD


def upgrade(connection: Connection) -> None:
    """Take every step that is missing, in the caller's transaction."""
    from alembic import command

    if connection.dialect.name == "sqlite":
        connection.execute(text(f"PRAGMA application_id = {SQLITE_APPLICATION}"))
    config = _config()
    config.attributes["connection"] = connection
    command.upgrade(config, "head")


def _config() -> Config:
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(_STEPS).replace("%", "%%"))
    return config


def _known_steps() -> set[str]:
    from alembic.script import ScriptDirectory

    script = ScriptDirectory.from_config(_config())
    return {step.revision for step in script.walk_revisions()}
