"""Commands run as a user would, on the little yard of the broken examples."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from scheduler.main import main

BASE = Path(__file__).parents[3] / "demo_orders" / "broken" / "base"


@dataclass(frozen=True)
class Ran:
    """How a command ended and what it printed."""

    code: int
    out: str
    err: str

    @property
    def lines(self) -> list[str]:
        """Lines of the output."""
        return self.out.splitlines()


Hullpace = Callable[..., Ran]


@pytest.fixture
def hullpace(capsys: pytest.CaptureFixture[str]) -> Hullpace:
    """Run a command in this process."""

    def run(*arguments: str | Path) -> Ran:
        capsys.readouterr()
        try:
            code = main([str(one) for one in arguments])
        except SystemExit as ended:  # argparse
            code = int(ended.code or 0)
        printed = capsys.readouterr()
        return Ran(code, printed.out, printed.err)

    return run


@pytest.fixture
def yard(tmp_path: Path) -> Path:
    """A fresh copy of the little yard, without its lock."""
    folder = tmp_path / "yard"
    shutil.copytree(BASE, folder)
    (folder / "locks.csv").unlink()
    return folder


@pytest.fixture
def planned(yard: Path, tmp_path: Path, hullpace: Hullpace) -> Path:
    """The file of a plan of the little yard."""
    ran = hullpace("plan", "--yard", yard, "--work", "20", "--out", tmp_path / "out")
    assert ran.code == 0, ran.err
    return tmp_path / "out" / "plan.json"


@pytest.fixture
def loaded(planned: Path, yard: Path, hullpace: Hullpace) -> Path:
    """The little yard with a store beside it and a plan, not yet published."""
    assert hullpace("load", "--yard", yard).code == 0
    return planned
