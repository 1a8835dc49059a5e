"""A tiny sound yard to break, and short ways to break it."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from models.errors import DataFaults, Fault
from models.loading import load_book

BROKEN = Path(__file__).parents[3] / "demo_orders" / "broken"


class TinyYard:
    """A copy of the sound yard that tests may change."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        shutil.copytree(BROKEN / "base", folder, dirs_exist_ok=True)

    def overlay(self, name: str) -> None:
        """Lay the files of a broken example over the yard."""
        example = BROKEN / name
        if (example / "orders.xlsx").exists():
            (self.folder / "orders.csv").unlink()
        shutil.copytree(example, self.folder, dirs_exist_ok=True)

    def replace(self, file: str, old: str, new: str) -> None:
        """Change the first occurrence of a text, which must occur."""
        path = self.folder / file
        text = path.read_text(encoding="utf-8")
        assert old in text
        path.write_text(text.replace(old, new, 1), encoding="utf-8")

    def write(self, file: str, content: str | bytes) -> Path:
        """Write a whole file."""
        path = self.folder / file
        path.parent.mkdir(parents=True, exist_ok=True)
        data = content.encode() if isinstance(content, str) else content
        path.write_bytes(data)
        return path

    def faults(self, *order_files: Path) -> tuple[Fault, ...]:
        """Load, and give the faults."""
        try:
            load_book(self.folder, order_files or None)
        except DataFaults as error:
            return error.faults
        return ()

    def fault(self, *order_files: Path) -> Fault:
        """Load, and give the one fault that there must be."""
        faults = self.faults(*order_files)
        assert len(faults) == 1, "\n".join(map(str, faults))
        return faults[0]


@pytest.fixture
def tiny(tmp_path: Path) -> TinyYard:
    """Give a fresh copy of the sound yard."""
    return TinyYard(tmp_path / "yard")
