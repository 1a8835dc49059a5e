"""A writer that is killed loses nothing that it told of and leaves nothing half done.

After every kill the store is looked at: its own checks, every digest, whole loads
only, and each change that was told of. A thousand kills are behind `slow`; a few are
made each time.
"""

from __future__ import annotations

import random
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest

from models.planning_jobs import BROKEN_OFF, SILENCE, state_at
from models.store.backup import backup, restore
from models.store.jobs import jobs_of
from models.store.loads import current, load
from models.store.log import entries
from models.store.soundness import faults
from models.store.transactions import is_there, open_store, read
from models.users import ACTIONS
from tests.crash.conftest import ROOT, Rig
from tests.models.store.conftest import ANN, little_yard, with_order

FEW, MANY = 20, 1000
SEED = 20261130


def kill_many(rig: Rig, address: str, kills: int) -> dict[str, Any]:
    """Kill and look; some of the changes must have been told of."""
    seen = rig("killed", address, SEED, kills)
    print(seen)
    assert seen["kills"] == kills
    assert seen["acknowledged"] > 0
    return seen


def test_a_few_kills(rig: Rig, address: str) -> None:
    """Whatever is written survives the end of its writer, whole."""
    kill_many(rig, address, FEW)


@pytest.mark.slow
def test_a_thousand_kills(rig: Rig, address: str) -> None:
    """Not one of a thousand writers that were killed loses or halves a change."""
    actions = kill_many(rig, address, MANY)["actions"]
    # Every kind of writer was at work: the store began with a load, a plan, two users.
    begun = {"load": 1, "publish": 1, "user": 2}
    assert actions.keys() == ACTIONS.keys() - {"restore"}
    assert all(actions[one] > begun.get(one, 0) for one in actions)


def killed_command(arguments: list[str], seconds: float) -> bool:
    """Run a command and kill it after a time; whether it was still running."""
    process = subprocess.Popen(
        [sys.executable, "-m", "scheduler", *arguments],
        cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )  # fmt: skip
    try:
        process.wait(timeout=seconds)
    except subprocess.TimeoutExpired:
        process.send_signal(signal.SIGKILL)
    return process.wait() == -signal.SIGKILL


def run_command(arguments: list[str]) -> str:
    """Run a command to its end, which must be a good one."""
    done = subprocess.run(
        [sys.executable, "-m", "scheduler", *arguments],
        cwd=ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return done.stdout


def kill_commands(address: str, spare: str, kills: int) -> None:
    """Kill `hullpace load` at any time from its start on, the first one included."""
    base = str(ROOT / "demo_orders" / "broken" / "base")
    command = ["load", "--yard", base, "--store"]
    began = time.monotonic()
    run_command([*command, spare])
    longest = 1.2 * (time.monotonic() - began)
    draw = random.Random(SEED)
    killed = 0
    for _ in range(kills):
        killed += killed_command([*command, address], draw.uniform(0.3, 1.0) * longest)
        if is_there(address):
            store = open_store(address)
            assert faults(store) == []
            assert current(store).number in {0, 1}
    assert killed > 0
    assert "no fault" in run_command([*command, address])
    assert "Nothing has changed." in run_command([*command, address])
    assert [one.action for one in read(open_store(address), entries)] == ["load"]


def test_a_killed_command_can_be_run_again(address: str, tmp_path: Path) -> None:
    """Whenever a load is killed, the same command afterwards does it once."""
    kill_commands(address, str(tmp_path / "spare.db"), 4)


@pytest.mark.slow
def test_many_killed_commands(address: str, tmp_path: Path) -> None:
    """As above, a hundred times."""
    kill_commands(address, str(tmp_path / "spare.db"), 100)


def kill_restores(address: str, folder: Path, kills: int) -> None:
    """Kill `hullpace restore`: the store is what it was, or what the backup was."""
    store = open_store(address, create=True)
    load(store, little_yard(), ANN, None)
    backup(store, folder / "backup.db")
    later = with_order(little_yard(), "B-9")
    load(store, later, ANN, None)
    draw = random.Random(SEED)
    for number in range(kills):
        if current(store).loaded != later:
            load(store, later, ANN, None)
        before = len(read(store, entries))
        aside = folder / f"aside-{number}.db"
        killed_command(
            [
                *("restore", str(folder / "backup.db")),
                *("--store", address, "--set-aside", str(aside)),
            ],
            draw.uniform(0.2, 1.6),
        )
        assert faults(store) == []
        files = current(store).loaded
        if files == later:
            assert len(read(store, entries)) == before
            continue
        assert files == little_yard()
        assert current(open_store(str(aside))).loaded == later
    restore(store, folder / "backup.db", ANN, folder / "last.db")
    assert faults(store) == []


def test_a_killed_restore_is_whole_or_not_at_all(address: str, tmp_path: Path) -> None:
    """A restore that is killed has not begun or has ended, and nothing is lost."""
    kill_restores(address, tmp_path, 3)


@pytest.mark.slow
def test_many_killed_restores(address: str, tmp_path: Path) -> None:
    """As above, fifty times."""
    kill_restores(address, tmp_path, 50)


def test_a_killed_plan_is_broken_off(address: str) -> None:
    """Its job does not run for ever, and the store is as it was."""
    store = open_store(address, create=True)
    load(store, little_yard(), ANN, None)
    process = subprocess.Popen(
        [sys.executable, "-m", "scheduler", "plan", "--store", address],
        cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )  # fmt: skip
    while not jobs_of(store) and process.poll() is None:
        time.sleep(0.01)
    process.send_signal(signal.SIGKILL)
    assert process.wait() == -signal.SIGKILL
    (job,) = jobs_of(store).values()
    assert not job.is_over
    assert state_at(job, job.seen + 2 * SILENCE) == BROKEN_OFF
    assert faults(store) == []
    assert current(store).loaded == little_yard()
