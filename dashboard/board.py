"""`hullpace board`: show a plan file in the browser of this computer."""

from __future__ import annotations

import argparse
from pathlib import Path

from models.errors import UsageError

HOST = "127.0.0.1"
DEFAULT_YARD = Path("demo_orders")


def run(args: argparse.Namespace) -> int:
    """Serve the board on loopback until it is stopped."""
    from dashboard.app import make_app
    from dashboard.source import PlanSource

    source = PlanSource(args.plan, getattr(args, "yard", DEFAULT_YARD))
    reading = source.reading()
    if reading.trouble is not None:
        print(f"{reading.trouble.reason} {reading.trouble.advice}")
    serve(make_app(source).server, args.port)
    return 0


def serve(application: object, port: int) -> None:
    """Serve a web application on loopback.

    Raises
    ------
    UsageError
        If the port is taken.
    """
    from waitress import create_server

    try:
        # Headers of proxies are kept: a request that carries one is refused.
        server = create_server(
            application,
            host=HOST,
            port=port,
            threads=8,
            clear_untrusted_proxy_headers=False,
            ident="hullpace",
        )
    except OSError as error:
        raise UsageError(
            f"cannot listen on {HOST}:{port} ({error.strerror}): choose another port "
            "with --port"
        ) from None
    print(
        f"Board: http://{HOST}:{server.effective_port}/plan (Ctrl+C stops it)",
        flush=True,
    )
    try:
        server.run()
    except KeyboardInterrupt:
        print("Stopped.")
    finally:
        server.close()
