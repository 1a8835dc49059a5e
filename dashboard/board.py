"""`hullpace board`: show a plan file in the browser of this computer."""

from __future__ import annotations

import argparse
import socket
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
    """Serve a web application on loopback."""
    from waitress import create_server

    # Headers of proxies are kept: a request that carries one is refused.
    server = create_server(
        application,
        sockets=[listening(port)],
        threads=8,
        clear_untrusted_proxy_headers=False,
        ident="hullpace",
    )
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


def listening(port: int) -> socket.socket:
    """A socket on loopback, bound to a port.

    Raises
    ------
    UsageError
        If the port is taken or does not exist.
    """
    bound = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        bound.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        bound.bind((HOST, port))
    except (OSError, OverflowError) as error:
        bound.close()
        raise UsageError(
            f"cannot listen on {HOST}:{port} ({error}): choose another port with --port"
        ) from None
    return bound
