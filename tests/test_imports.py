"""Dependencies point one way: dashboard -> scheduler -> models."""

from __future__ import annotations

import ast
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
PACKAGES = ("models", "scheduler", "dashboard")
SOLVERS = {"ortools", "numba", "scipy", "highspy"}
WEB = {"dash", "dash_ag_grid", "plotly", "flask", "werkzeug", "waitress"}


def files(*places: str) -> list[Path]:
    """Python files of some packages or single files."""
    found = []
    for place in places:
        path = ROOT / place
        found += sorted(path.rglob("*.py")) if path.is_dir() else [path]
    return found


def imported(path: Path) -> set[str]:
    """Full names of all modules that a file imports, wherever it does."""
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path} imports by dots; write the package"
            module = node.module or ""
            names |= {f"{module}.{alias.name}" for alias in node.names}
    return names


def offenders(paths: list[Path], forbidden: set[str]) -> list[str]:
    """Files that import a package that they must not, by name."""
    return [
        f"{path.relative_to(ROOT)} imports {name}"
        for path in paths
        for name in sorted(imported(path))
        if name.split(".")[0] in forbidden
    ]


@pytest.mark.parametrize(
    ("package", "forbidden"),
    [
        ("models", {"scheduler", "dashboard"} | SOLVERS | WEB),
        ("scheduler", {"dashboard"} | WEB),
    ],
)
def test_no_import_points_back(package: str, forbidden: set[str]) -> None:
    """A package imports none that stands on it, and nothing that is not its matter."""
    paths = files(package)
    assert paths
    assert offenders(paths, forbidden) == []


def test_the_checker_stands_alone() -> None:
    """The checker imports the standard library and its own rules, nothing else."""
    paths = files("scheduler/checker.py", "scheduler/checking")
    assert len(paths) > 1
    foreign = [
        f"{path.relative_to(ROOT)} imports {name}"
        for path in paths
        for name in sorted(imported(path))
        if name.split(".")[0] not in sys.stdlib_module_names
        and not name.startswith("scheduler.checking.")
    ]
    assert foreign == []


def test_no_package_imports_the_tests() -> None:
    """What is shipped does not lean on what tests it."""
    assert offenders(files(*PACKAGES), {"tests", "pytest", "hypothesis"}) == []


def test_an_offender_is_found(tmp_path: Path) -> None:
    """An import inside a function counts as any other."""
    path = tmp_path / "late.py"
    path.write_text("def f():\n    from dash import html\n", encoding="utf-8")
    assert imported(path) == {"dash.html"}
