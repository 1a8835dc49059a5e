"""Writing a sample yard and its order book."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from models.errors import UsageError
from models.loading import load_book
from models.sample import write_sample

DEMO = Path(__file__).resolve().parents[3] / "demo_orders"


def contents(folder: Path) -> dict[str, bytes]:
    """Read every file of a folder."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }


@pytest.mark.parametrize(
    ("boats", "scale"), [(1, None), (4, 0.05), (8, None), (24, None), (24, 2.0)]
)
def test_a_sample_loads(tmp_path: Path, boats: int, scale: float | None) -> None:
    """Whatever its size, the loader finds no fault in it."""
    write_sample(tmp_path, DEMO, boats, 1, 1.0, scale)
    book = load_book(tmp_path)
    assert len(book.orders) == boats
    assert book.in_hand == ()
    assert book.locks == ()
    assert set(book.models) == set(load_book(DEMO).models)


def test_the_same_seed_gives_the_same_files(tmp_path: Path) -> None:
    """Two runs with equal arguments are equal to the byte, also over an older one."""
    for name in ("one", "two"):
        write_sample(tmp_path / name, DEMO, 8, 5, 1.1, None)
    assert contents(tmp_path / "one") == contents(tmp_path / "two")
    write_sample(tmp_path / "two", DEMO, 12, 6, 1.1, None)
    assert contents(tmp_path / "one") != contents(tmp_path / "two")
    write_sample(tmp_path / "two", DEMO, 8, 5, 1.1, None)
    assert contents(tmp_path / "one") == contents(tmp_path / "two")


def test_people_and_molds_follow_the_scale(tmp_path: Path) -> None:
    """Twice the scale has twice the people and molds, whatever the number of boats."""
    base = load_book(DEMO).yard
    write_sample(tmp_path, DEMO, 10, 1, 1.0, 2.0)
    yard = load_book(tmp_path).yard
    assert len(yard.people) == 2 * len(base.people)
    assert len(yard.molds) == 2 * len(base.molds)


def test_by_default_the_yard_grows_with_its_book(tmp_path: Path) -> None:
    """26 boats get the yard itself, 52 twice of it."""
    base = load_book(DEMO).yard
    for boats, times in ((26, 1), (52, 2)):
        write_sample(tmp_path / str(boats), DEMO, boats, 1, 1.0, None)
        yard = load_book(tmp_path / str(boats)).yard
        assert len(yard.people) == times * len(base.people)


def test_all_boats_have_a_wanted_date_and_most_a_promise(tmp_path: Path) -> None:
    """Wanted is never blank and never after what was promised."""
    write_sample(tmp_path, DEMO, 60, 1, 1.0, None)
    orders = load_book(tmp_path).orders
    promised = [order for order in orders if order.promised is not None]
    assert len(orders) / 2 < len(promised) < len(orders)
    for order in orders:
        assert order.wanted is not None
        assert order.promised is None or order.wanted <= order.promised


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"boats": 0}, "--boats"),
        ({"load": 0.0}, "--load"),
        ({"scale": -1.0}, "--scale"),
        ({"seed": -1}, "--seed"),
    ],
)
def test_senseless_arguments_are_refused(
    tmp_path: Path, change: dict[str, float], message: str
) -> None:
    """Nothing is written for a size, load or scale that cannot be."""
    given = {"boats": 4, "seed": 1, "load": 1.0, "scale": None} | change
    with pytest.raises(UsageError, match=message):
        write_sample(tmp_path / "out", DEMO, **given)  # type: ignore[arg-type]
    assert not (tmp_path / "out").exists()


def _a_stray_file(out: Path) -> None:
    out.mkdir()
    (out / "in_hand.csv").write_text("order\n", encoding="utf-8")


def _a_file(out: Path) -> None:
    out.write_text("", encoding="utf-8")


@pytest.mark.parametrize(
    ("prepare", "message"), [(_a_stray_file, r"in_hand\.csv"), (_a_file, "is a file")]
)
def test_a_folder_with_other_files_is_left_alone(
    tmp_path: Path, prepare: Callable[[Path], None], message: str
) -> None:
    """A file that would be read as part of the sample is named, nothing is written."""
    out = tmp_path / "out"
    prepare(out)
    before = contents(tmp_path)
    with pytest.raises(UsageError, match=message):
        write_sample(out, DEMO, 4, 1, 1.0, None)
    assert contents(tmp_path) == before
