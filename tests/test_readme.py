"""README.md and DEVELOPERS.md against the program and the files."""

from __future__ import annotations

import argparse
import re
import shlex
from pathlib import Path
from typing import Any

import pytest

from dashboard.front import register_board
from scheduler.main import COMMANDS, build_parser

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
PAGES = {
    "README.md": README,
    "DEVELOPERS.md": DEVELOPERS,
    "demo_orders/README.md": (ROOT / "demo_orders/README.md").read_text("utf-8"),
}

BLOCK = re.compile(r"^```\w*\n(.*?)^```$", re.MULTILINE | re.DOTALL)
LINK = re.compile(r"\]\(([^)\s]+)\)")
HEADING = re.compile(r"^#+ (.+)$", re.MULTILINE)
PATH = re.compile(
    r"`((?:models|scheduler|dashboard|tests|scripts|demo_orders)/[\w./-]*)`"
)


class Recorder:
    """Takes the place of subparsers and keeps the names of commands."""

    def __init__(self) -> None:
        self.names: list[str] = []

    def add_parser(self, name: str, **more: Any) -> argparse.ArgumentParser:
        """Keep a name; hand out a parser that nobody reads."""
        self.names.append(name)
        return argparse.ArgumentParser()


def command_lines(text: str) -> list[str]:
    """Lines after a prompt that call the program, continued lines joined."""
    blocks = "\n".join(BLOCK.findall(text)).replace("\\\n", " ")
    lines = [line.strip() for line in blocks.splitlines()]
    return [line[2:] for line in lines if line.startswith("$ hullpace ")]


def command_names() -> list[str]:
    """Every command that the program has."""
    recorder = Recorder()
    for command in COMMANDS:
        command.register(recorder)
    register_board(recorder)
    return recorder.names


def slug(heading: str) -> str:
    """The anchor of a heading."""
    return re.sub(r"[^\w\- ]", "", heading.lower()).replace(" ", "-")


@pytest.mark.parametrize("line", command_lines(README))
def test_every_command_line_parses(line: str) -> None:
    """Each command line shown has a command and options that exist."""
    try:
        build_parser([register_board]).parse_args(shlex.split(line, comments=True)[1:])
    except SystemExit:
        pytest.fail(f"README.md shows a command line that does not parse: {line}")


def test_a_wrong_command_line_would_be_seen() -> None:
    """A command line with an option that does not exist is refused."""
    lines = command_lines("```console\n$ hullpace plan --no-such 1\n```\n")
    assert lines == ["hullpace plan --no-such 1"]
    with pytest.raises(SystemExit):
        build_parser([register_board]).parse_args(shlex.split(lines[0])[1:])


@pytest.mark.parametrize("name", command_names())
def test_every_command_is_shown(name: str) -> None:
    """Each command of the program is run in a code block of the README."""
    assert any(line.split()[1] == name for line in command_lines(README))


def test_the_first_paragraph_states_the_job() -> None:
    """Whoever reads one paragraph knows what goes in and what comes out."""
    paragraph = README.split("\n\n")[1].replace("\n", " ").lower()
    for words in (
        "labor hours",
        "takt",
        "composite powerboats",
        "mold",
        "cure",
        "skill",
        "constraint-programming",
        "gel coat",
        "deck-join",
        "promise",
        "bottleneck",
        "would another mold help",
    ):
        assert words in paragraph, words


@pytest.mark.parametrize("page", PAGES)
def test_every_link_leads_somewhere(page: str) -> None:
    """Each link to a file finds it; each link to a heading finds that."""
    headings = {slug(one) for one in HEADING.findall(PAGES[page])}
    for target in LINK.findall(PAGES[page]):
        if target.startswith("#"):
            assert target[1:] in headings, target
        elif "://" not in target:
            assert ((ROOT / page).parent / target.split("#")[0]).exists(), target


@pytest.mark.parametrize("page", PAGES)
def test_every_path_exists(page: str) -> None:
    """Each path that a page names is there."""
    for path in PATH.findall(PAGES[page]):
        assert (ROOT / path).exists(), path


def test_the_map_names_every_module() -> None:
    """Each module of models and scheduler has its place in the map."""
    begin = DEVELOPERS.index("\n## The way from an order to a promise")
    chapter = DEVELOPERS[begin : DEVELOPERS.index("\n## ", begin + 1)]
    named = set(re.findall(r"`(?:\w+/)*(\w+)(?:\.py)?`", chapter))
    modules = {
        path.stem
        for package in ("models", "scheduler")
        for path in (ROOT / package).glob("*.py")
        if not path.stem.startswith("_")
    }
    assert modules - named == set()
