"""Reading the two open formats; every fault with its line."""

from __future__ import annotations

from pathlib import Path

import pytest

from models.errors import DataFaults
from scheduler.classical.instance import Instance, job
from scheduler.classical.reading import read_instance

BROKEN = Path(__file__).parent / "broken"

SHOP = """\
# two jobs
2 3
0 4  2 1

1 2  0 3  2 5
"""
PROJECT = """\
 4 1
 3
 0 0  2  2 3
 4 2  1  4
 2 1  1
 4
 0 0  0
"""


def read(tmp_path: Path, name: str, text: str) -> Instance:
    """Read a text as a file of that name."""
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    return read_instance(path)


def test_a_job_shop(tmp_path: Path) -> None:
    """Pairs of machine and time; jobs may have fewer steps than there are machines."""
    found = read(tmp_path, "shop.txt", SHOP)
    assert found.capacities == (("M0", 1), ("M1", 1), ("M2", 1))
    assert found.projects == (
        job("J1", [("M0", 4), ("M2", 1)]),
        job("J2", [("M1", 2), ("M0", 3), ("M2", 5)]),
    )


def test_a_project(tmp_path: Path) -> None:
    """Durations, demands and followers; a line may break anywhere."""
    found = read(tmp_path, "small.rcp", PROJECT)
    (project,) = found.projects
    assert found.capacities == (("R1", 3),)
    assert project.name == "small"
    assert [one.duration for one in project.activities] == [0, 4, 2, 0]
    assert [one.demands for one in project.activities] == [
        (),
        (("R1", 2),),
        (("R1", 1),),
        (),
    ]
    assert [one.followers for one in project.activities] == [(1, 2), (3,), (3,), ()]


def promised() -> dict[str, list[str]]:
    """The lines that the README of the broken files promises, by file."""
    lines: dict[str, list[str]] = {}
    for line in (BROKEN / "README.md").read_text(encoding="utf-8").splitlines():
        if line.startswith("    "):
            lines.setdefault(line.split(":")[0].strip(), []).append(line.strip())
    return lines


def test_every_broken_file_is_listed() -> None:
    """Each broken file stands in the README beside it."""
    files = {path.name for path in BROKEN.iterdir()} - {"README.md"}
    assert promised().keys() == files


@pytest.mark.parametrize("name", promised())
def test_every_fault_is_told(name: str) -> None:
    """A broken file gives its own lines and no others."""
    with pytest.raises(DataFaults) as raised:
        read_instance(BROKEN / name)
    assert [str(fault) for fault in raised.value.faults] == promised()[name]


def test_a_missing_file_is_told(tmp_path: Path) -> None:
    """A file that is not there is a fault like any other."""
    with pytest.raises(DataFaults, match="no such file"):
        read_instance(tmp_path / "none.rcp")
