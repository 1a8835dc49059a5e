"""Each broken example gives exactly the lines that its README promises."""

from __future__ import annotations

import pytest

from tests.models.loading.conftest import BROKEN, TinyYard


def promised() -> dict[str, list[str]]:
    """Read the README's list: a folder, and below it, deeper, its lines."""
    lines: dict[str, list[str]] = {}
    name = ""
    text = (BROKEN / "README.md").read_text(encoding="utf-8")
    for line in text.splitlines():
        if line.startswith("      "):
            lines[name].append(line.strip())
        elif line.startswith("    ") and (BROKEN / line.strip()).is_dir():
            name = line.strip()
            lines[name] = []
    return lines


def test_base_is_sound(tiny: TinyYard) -> None:
    """The yard that the examples break loads without a fault."""
    assert tiny.faults() == ()


def test_each_example_is_listed() -> None:
    """Every folder of broken data but the sound one stands in the README."""
    folders = {path.name for path in BROKEN.iterdir() if path.is_dir()}
    assert folders - {"base"} == promised().keys()


@pytest.mark.parametrize("name", promised())
def test_example(name: str, tiny: TinyYard) -> None:
    """A broken example gives its own lines and no others."""
    tiny.overlay(name)
    assert [str(fault) for fault in tiny.faults()] == promised()[name]


@pytest.mark.parametrize("name", promised())
def test_every_fault_can_be_found(name: str, tiny: TinyYard) -> None:
    """A fault names a file of the yard, a place in it, and takes one line."""
    tiny.overlay(name)
    for fault in tiny.faults():
        assert (tiny.folder / fault.file).exists()
        assert fault.where
        assert fault.found
        assert fault.expected
        assert "\n" not in str(fault)
