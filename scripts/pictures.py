"""Pictures of the board and of sheets for README.md, taken in Debian's Chromium.

    .venv/bin/python scripts/pictures.py [--plan build/plan.json]

The plan is that of `make run`, or one that comes out the same on every machine: that of
`hullpace plan --work 20000`. The pictures go into `dashboard/pictures`.
"""

from __future__ import annotations

import argparse
import sys
import threading
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
CHROMIUM = Path("/usr/bin/chromium")
ARGUMENTS = (
    "--no-sandbox --disable-gpu --disable-quic --no-first-run "
    "--disable-background-networking --disable-component-update --disable-sync"
)
SIZE = {"width": 1400, "height": 900}
PAPER = {"width": 1047, "height": 710}  # A4 across, between its margins, 96 a inch
SHEETS = {
    "plan": "/plan?weeks=6",
    "molds": "/plan?by=holds&weeks=6",
    "crews": "/plan?by=crew&weeks=4",
    "book": "/plan?by=book",
    "pace": "/pace",
    "promises": "/promises",
}


def serve(plan: Path) -> tuple[object, str]:
    """Serve a plan on a free port from a thread of this program."""
    from waitress import create_server

    from dashboard.app import make_app
    from dashboard.source import PlanSource

    source = PlanSource(plan, ROOT / "demo_orders")
    trouble = source.reading().trouble
    if trouble is not None:
        sys.exit(f"pictures: {trouble.reason} {trouble.advice}")
    server = create_server(make_app(source).server, host="127.0.0.1", port=0)
    threading.Thread(target=server.run, daemon=True).start()
    return server, f"http://127.0.0.1:{server.effective_port}"


def take(address: str, folder: Path) -> list[Path]:
    """Take a picture of each sheet."""
    from playwright.sync_api import sync_playwright

    folder.mkdir(parents=True, exist_ok=True)
    taken = []
    with sync_playwright() as tools:
        browser = tools.chromium.launch(
            executable_path=str(CHROMIUM), args=ARGUMENTS.split()
        )
        page = browser.new_page(viewport=SIZE)
        for name, path in SHEETS.items():
            page.goto(address + path)
            shown = ".ag-row" if name == "promises" else ".drawing .subplot"
            page.locator(shown).first.wait_for(state="attached")
            page.wait_for_timeout(1000)  # lettering is set after the bars
            taken.append(folder / f"{name}.png")
            page.screenshot(path=taken[-1])
        browser.close()
    return taken


def take_sheet(plan: Path, folder: Path) -> Path:
    """Take a picture of a crew's sheet, as it is printed."""
    from playwright.sync_api import sync_playwright

    from scheduler.main import main as hullpace

    paper = ROOT / "build" / "sheets"
    yard = ROOT / "demo_orders"
    asked = ["sheets", "--plan", plan, "--yard", yard, "--out", paper]
    if hullpace([str(one) for one in asked]) != 0:
        sys.exit("pictures: the plan has no sheets")
    day = min(paper.glob("sheet-*.html"))
    with sync_playwright() as tools:
        browser = tools.chromium.launch(
            executable_path=str(CHROMIUM), args=ARGUMENTS.split()
        )
        page = browser.new_page(viewport=PAPER)
        page.emulate_media(media="print")
        page.goto(day.as_uri())
        # On screen there are no pages: the second crew of a day begins one.
        section = page.locator("section").nth(1)
        box = section.bounding_box()
        if box is None:
            sys.exit(f"pictures: {day.name} has no second crew")
        rows = [one.bounding_box() or box for one in section.locator("tr").all()]
        ends = [one["y"] + one["height"] - box["y"] for one in rows]
        height = max(one for one in ends if one < PAPER["height"]) + 1
        picture = folder / "sheet.png"
        page.screenshot(path=picture, full_page=True, clip=box | {"height": height})
        browser.close()
    return picture


def main() -> None:
    """Take all pictures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--plan", type=Path, default=ROOT / "build" / "plan.json")
    parser.add_argument("--out", type=Path, default=ROOT / "dashboard" / "pictures")
    args = parser.parse_args()
    if not CHROMIUM.exists():
        sys.exit("pictures: no Chromium: run scripts/install-browser.sh")
    _, address = serve(args.plan)
    for path in [*take(address, args.out), take_sheet(args.plan, args.out)]:
        print(f"{path.name}: {path.stat().st_size // 1024} kB")


if __name__ == "__main__":
    main()
