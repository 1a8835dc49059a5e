"""Stores for tests: a file, and a database of a server of our own if there is one.

A conftest imports the fixtures. The server listens on a socket in a folder of its own,
never on the network, and is stopped at the end.
"""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

KINDS = ("sqlite", "postgresql")
NO_SERVER = "PostgreSQL is not installed: scripts/install-postgresql.sh installs it"


@cache
def programs() -> Path | None:
    """The folder of Debian's server programs, the newest version."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    return found[-1].parent if found else None


def _as_server(*command: str) -> str:
    """Run as the server's own account: it refuses to run as root."""
    lead = ["runuser", "-u", "postgres", "--"] if os.geteuid() == 0 else []
    done = subprocess.run(
        [*lead, *command],
        capture_output=True, text=True, check=False, cwd="/", timeout=120,
    )  # fmt: skip
    assert done.returncode == 0, f"{command}: {done.stdout}{done.stderr}"
    return done.stdout.strip()


@pytest.fixture(scope="session")
def server() -> Iterator[str]:
    """The folder of the socket of a running server."""
    bin_folder = programs()
    if bin_folder is None:
        pytest.skip(NO_SERVER)
    folder = _as_server("mktemp", "-d")
    data = f"{folder}/data"
    _as_server(
        f"{bin_folder}/initdb",
        *("-D", data, "-U", "postgres", "-A", "trust", "--no-sync", "-E", "UTF8"),
    )
    options = f"-c listen_addresses= -c unix_socket_directories={folder} -c fsync=off"
    control = (f"{bin_folder}/pg_ctl", "-D", data, "-w", "-s")
    _as_server(*control, "-l", f"{folder}/log", "-o", options, "start")
    try:
        yield folder
    finally:
        _as_server(*control, "-m", "immediate", "stop")
        shutil.rmtree(folder, ignore_errors=True)


_counted = 0


def new_database(server: str) -> str:
    """Make an empty database and give its address."""
    import psycopg

    global _counted  # noqa: PLW0603
    _counted += 1
    name = f"yard_{_counted}"
    at = f"host={server} user=postgres dbname=postgres"
    with psycopg.connect(at, autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {name}".encode())
    return f"postgresql://postgres@/{name}?host={server}"


@pytest.fixture(params=KINDS)
def address(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """The address of a store that is not there yet, on each kind of database."""
    if request.param == "sqlite":
        return str(tmp_path / "yard.db")
    return new_database(request.getfixturevalue("server"))
