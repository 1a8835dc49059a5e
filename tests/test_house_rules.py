"""House rules that a machine can check."""

from __future__ import annotations

import ast
import re
import subprocess
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
LONGEST = 400
PACKAGES = ("models", "scheduler", "dashboard")
# Folders that only one machine has: homes, temporary and system folders, drives.
MACHINE_PATHS = re.compile(
    r"(?<![\w.])/(?:home|root|tmp|work|mnt|srv|Users|private|var/folders)/[\w.]"
    r"|\b[A-Z]:\\\\?\w"
)


def tracked(*suffixes: str) -> list[Path]:
    """Files under version control, or about to be, that end in one of some ways."""
    command = ["git", "ls-files", "--cached", "--others", "--exclude-standard"]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True)
    paths = [ROOT / name for name in done.stdout.splitlines()]
    return [path for path in paths if path.suffix in suffixes and path.is_file()]


def test_no_file_is_too_long() -> None:
    """No Python file has more than 400 lines."""
    lengths = {
        str(path.relative_to(ROOT)): len(path.read_text(encoding="utf-8").splitlines())
        for path in tracked(".py")
    }
    assert lengths
    assert {name: n for name, n in lengths.items() if n > LONGEST} == {}


def test_no_path_of_one_machine() -> None:
    """No file names a folder that only one machine has."""
    kinds = (".py", ".toml", ".md", ".json", ".csv", ".yml", ".yaml", ".cfg", ".sh")
    found = [
        f"{path.relative_to(ROOT)}:{number}: {line.strip()[:80]}"
        for path in tracked(*kinds)
        if path != Path(__file__).resolve()
        for number, line in enumerate(
            path.read_text(encoding="utf-8", errors="replace").splitlines(), start=1
        )
        if MACHINE_PATHS.search(line)
    ]
    assert found == []


def test_what_counts_as_a_path_of_one_machine() -> None:
    """Absolute homes count; relative paths, addresses and ratios do not."""
    for text in ("open('/home/ann/x')", "cd /Users/ann", r"C:\yards", "x=/mnt/a"):
        assert MACHINE_PATHS.search(text), text
    for text in ("build/plan.json", "./home/x", "and/or", "m2/home", "B103/hull.skin"):
        assert not MACHINE_PATHS.search(text), text


def test_every_public_module_says_what_it_is_for() -> None:
    """Each module that is not private has a docstring."""
    silent = [
        str(path.relative_to(ROOT))
        for package in PACKAGES
        for path in sorted((ROOT / package).rglob("*.py"))
        if not path.name.startswith("_")
        and ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))) is None
    ]
    assert silent == []
