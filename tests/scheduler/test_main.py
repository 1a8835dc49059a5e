"""The command line as a whole: exit codes, messages, no web library."""

from __future__ import annotations

import argparse
import subprocess
import sys
from pathlib import Path

import pytest

from models.errors import DataFaults, Fault, NoPlan, PlanRefused, UsageError
from scheduler import main as command_line
from scheduler.main import MOST_FAULTS, build_parser, main
from tests.test_imports import WEB


def ends_with(error: BaseException, monkeypatch: pytest.MonkeyPatch) -> int:
    """Run a command that raises an error."""

    def fail(args: argparse.Namespace) -> int:
        raise error

    def parser(more: object = ()) -> argparse.ArgumentParser:
        made = argparse.ArgumentParser()
        made.set_defaults(run=fail)
        return made

    monkeypatch.setattr(command_line, "build_parser", parser)
    return main([])


@pytest.mark.parametrize(
    ("error", "code", "line"),
    [
        (UsageError("no yard there"), 2, "hullpace: no yard there"),
        (NoPlan("B1 fits nowhere"), 1, "hullpace: B1 fits nowhere"),
        (PlanRefused("R9 is broken"), 1, "hullpace: R9 is broken"),
        (PermissionError(13, "Permission denied", "x"), 2, "x: Permission denied"),
        (KeyboardInterrupt(), 2, "nothing was written"),
    ],
)
def test_errors_are_one_clear_line(
    error: BaseException,
    code: int,
    line: str,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Each error that a user can mend has its exit code and one line."""
    assert ends_with(error, monkeypatch) == code
    printed = capsys.readouterr()
    assert printed.out == ""
    assert line in printed.err
    assert len(printed.err.split("\n")) <= 3


def test_no_command_is_a_usage_error(capsys: pytest.CaptureFixture[str]) -> None:
    """Without a command the program ends with 2 and says which there are."""
    assert main([]) == 2
    told = capsys.readouterr().err
    assert "usage: hullpace" in told
    assert "plan the book and write a plan file" in told


def test_a_defect_is_not_hidden(monkeypatch: pytest.MonkeyPatch) -> None:
    """An error that no user can mend keeps its traceback."""
    with pytest.raises(ZeroDivisionError):
        ends_with(ZeroDivisionError(), monkeypatch)


@pytest.mark.parametrize("count", [1, MOST_FAULTS, MOST_FAULTS + 5])
def test_faults_are_listed_up_to_a_limit(
    count: int, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Each fault has a line, at most two hundred of them, and the total is told."""
    faults = DataFaults(Fault("a.csv", f"row {n}", "x", "y") for n in range(count))
    assert ends_with(faults, monkeypatch) == 2
    *listed, total = capsys.readouterr().err.splitlines()
    assert len(listed) == min(count, MOST_FAULTS)
    assert total.startswith(f"{count} fault")
    assert ("shown" in total) == (count > MOST_FAULTS)


def test_every_option_is_explained() -> None:
    """Each command has a help line."""
    text = build_parser().format_help()
    for command in command_line.COMMANDS:
        name = command.__name__.rsplit(".", 1)[-1]
        assert any(
            line.split()[:1] == [name] and len(line.split()) > 2
            for line in text.splitlines()
        ), name


def run_python(code: str) -> subprocess.CompletedProcess[str]:
    """Run code in a new process."""
    return subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=False
    )


def test_commands_run_without_a_web_library() -> None:
    """`python -m scheduler` plans and reads where the web is not installed."""
    code = (
        "import sys\n"
        f"for name in {sorted(WEB)!r}: sys.modules[name] = None\n"
        "from scheduler.main import main\n"
        "code = main(['hours', '--model', 'quillet-23'])\n"
        "import scheduler.planner, scheduler.report, scheduler.trial\n"
        "sys.exit(code)\n"
    )
    done = run_python(code)
    assert done.returncode == 0, done.stderr
    assert "labor hours" in done.stdout


def test_planning_needs_no_database_library() -> None:
    """Whatever does not use the store starts without a database library."""
    code = (
        "import sys\n"
        "for name in ('sqlalchemy', 'alembic', 'psycopg'): sys.modules[name] = None\n"
        "from scheduler.main import main\n"
        "import scheduler.planner, scheduler.report, scheduler.trial\n"
        "sys.exit(main(['hours', '--model', 'quillet-23']))\n"
    )
    done = run_python(code)
    assert done.returncode == 0, done.stderr


def test_the_module_runs() -> None:
    """`python -m scheduler COMMAND` is the same program."""
    command = [sys.executable, "-m", "scheduler", "load", "--dry-run"]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert "no fault" in done.stdout


def test_a_closed_pipe_is_no_error(tmp_path: Path) -> None:
    """Output that nobody reads to its end leaves no traceback."""
    reader = f"{sys.executable} -m scheduler hours --model sandrel-28 2> err | head -0"
    done = subprocess.run(
        [
            "bash",
            "-c",
            f"cd {Path.cwd()} && {reader.replace('err', str(tmp_path / 'e'))}",
        ],
        check=False,
    )
    assert done.returncode == 0
    assert (tmp_path / "e").read_text("utf-8") == ""
