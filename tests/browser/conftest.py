"""A real server on a free port, and a real browser that may only talk to it."""

from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, Page, expect, sync_playwright

from scheduler.plan_file import write_plan
from tests.dashboard.demo_view import demo_plan

ROOT = Path(__file__).resolve().parent.parent.parent
CHROMIUM = Path("/usr/bin/chromium")
PATIENCE = 15_000  # milliseconds; how long a sheet may take before a test gives up
PICTURES = ROOT / "build" / "screenshots"
ARGUMENTS = (
    "--no-sandbox --disable-gpu --disable-quic --no-first-run "
    "--disable-background-networking --disable-component-update --disable-sync"
)


@dataclass
class Sheet:
    """A page of the browser, and everything that it asked for or complained of."""

    page: Page
    address: str
    complaints: list[str] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)

    def open(self, path: str) -> None:
        """Open a sheet and wait until it is drawn."""
        self.page.goto(self.address + path)
        self.page.wait_for_selector("#sheet h1")

    def drawn(self) -> None:
        """Wait until every drawing of the sheet is there."""
        # The content policy forbids eval, which a function to wait for would need.
        holders = self.page.locator(".drawing")
        holders.first.wait_for()
        # More drawings may come while one looks: so until none is left blank.
        blank = self.page.locator(".drawing:not(:has(.subplot))")
        expect(blank).to_have_count(0, timeout=PATIENCE)
        assert holders.count() > 0

    def picture(self, name: str) -> None:
        """Keep a picture of the window."""
        PICTURES.mkdir(parents=True, exist_ok=True)
        self.page.screenshot(path=PICTURES / f"{name}.png")

    def foreign(self) -> list[str]:
        """Requests that would have left this computer."""
        return [
            one
            for one in self.asked
            if urlsplit(one).scheme not in {"data", "blob"}
            and urlsplit(one).hostname != "127.0.0.1"
        ]


def serve(plan: Path, log: Path) -> tuple[subprocess.Popen[bytes], str]:
    """Start the board on a free port; its address is in the first line it prints."""
    command = [sys.executable, "-c", "from dashboard.front import main; main()"]
    command += ["board", "--plan", str(plan), "--port", "0"]
    with log.open("wb") as out:
        server = subprocess.Popen(command, cwd=ROOT, stdout=out, stderr=out)
    for _ in range(600):
        found = re.search(r"http://127\.0\.0\.1:\d+", log.read_text("utf-8"))
        if found:
            return server, found.group()
        if server.poll() is not None:
            break
        try:
            server.wait(0.1)
        except subprocess.TimeoutExpired:
            continue
    server.kill()
    server.wait()
    raise AssertionError(f"the board did not start: {log.read_text('utf-8')}")


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    """Debian's Chromium, or one clear line."""
    if not CHROMIUM.exists():
        pytest.fail("no Chromium: run scripts/install-browser.sh", pytrace=False)
    with sync_playwright() as tools:
        browser = tools.chromium.launch(
            executable_path=str(CHROMIUM), args=ARGUMENTS.split()
        )
        yield browser
        browser.close()


@pytest.fixture(scope="session")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The board on a plan of the demo yard."""
    folder = tmp_path_factory.mktemp("board")
    write_plan(demo_plan(), folder / "plan.json")
    server, found = serve(folder / "plan.json", folder / "log")
    yield found
    server.terminate()
    server.wait(10)


@pytest.fixture
def sheet(chromium: Browser, address: str) -> Iterator[Sheet]:
    """A fresh window."""
    with fresh(chromium, address) as opened:
        yield opened


class fresh:  # noqa: N801 - used as a context, reads as a word
    """A window that keeps what it asks for; at its end nothing has gone wrong."""

    def __init__(self, browser: Browser, address: str) -> None:
        self._context = browser.new_context(viewport={"width": 1400, "height": 900})
        self._sheet = Sheet(self._context.new_page(), address)

    def __enter__(self) -> Sheet:
        sheet = self._sheet
        sheet.page.set_default_timeout(PATIENCE)
        sheet.page.on("request", lambda one: sheet.asked.append(one.url))
        sheet.page.on("pageerror", lambda one: sheet.complaints.append(str(one)))
        sheet.page.on(
            "console",
            lambda one: (
                sheet.complaints.append(one.text) if one.type == "error" else None
            ),
        )
        return sheet

    def __exit__(self, *_: object) -> None:
        self._context.close()
