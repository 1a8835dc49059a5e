"""Stores of both kinds, and programs run beside the tests."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.stores import address, server

__all__ = ["address", "server"]

ROOT = Path(__file__).parents[2]
Rig = Callable[..., dict[str, Any]]


@pytest.fixture
def rig() -> Rig:
    """Run one of the programs of this folder and read what it saw."""

    def run(module: str, *arguments: object) -> dict[str, Any]:
        command = [sys.executable, "-m", f"tests.crash.{module}", *map(str, arguments)]
        done = subprocess.run(
            command, cwd=ROOT, capture_output=True, text=True, check=False
        )
        assert done.returncode == 0, f"{' '.join(command)}\n{done.stderr}"
        assert done.stderr == "", done.stderr
        told: dict[str, Any] = json.loads(done.stdout)
        return told

    return run
