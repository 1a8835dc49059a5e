"""Who may ask what: loopback only until there are users, and headers on every reply."""

from __future__ import annotations

from typing import TYPE_CHECKING
from urllib.parse import urlsplit

from flask import Response, request

from dashboard.exports import NAMES

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from flask import Flask

LOOPBACK = frozenset({"localhost", "127.0.0.1", "::1"})
LARGEST_BODY = 2 * 1024 * 1024
# Dash answers any address with its page: what is not named here does not exist.
OWN_PATHS = frozenset(
    {"/", "/plan", "/pace", "/promises"}
    | {"/_dash-layout", "/_dash-dependencies", "/_dash-update-component"}
    | {"/_favicon.ico"}
    | {f"/export/{name}.csv" for name in NAMES}
)
OWN_PREFIXES = ("/_dash-component-suites/", "/assets/")
_FORWARDING = ("forwarded", "via", "x-real-ip", "true-client-ip", "client-ip")
_READING = frozenset({"GET", "HEAD", "OPTIONS"})

REFUSED = (
    "The board answers only the computer that it runs on.\n"
    "This request named another host or came through a proxy. Open it on the same\n"
    "computer as http://127.0.0.1 and its port. Others may not see it before there\n"
    "are users with passwords, which this version does not have yet.\n"
)
FOREIGN = "This request was sent by a page of another site and is refused.\n"
NOT_FOUND = """<!doctype html>
<html lang="en">
<head><meta charset="utf-8"><title>No such sheet - Hullpace</title>
<link rel="stylesheet" href="/assets/board.css"></head>
<body class="lost"><main><h1>No such sheet</h1>
<p>There is nothing at this address. The sheets are:</p>
<ul><li><a href="/plan">Plan</a></li><li><a href="/pace">Pace</a></li>
<li><a href="/promises">Promises</a></li></ul></main></body></html>
"""


def host_name(netloc: str) -> str:
    """Name in a Host header or address, without port, user and brackets."""
    try:
        return (urlsplit(f"//{netloc}").hostname or "").lower()
    except ValueError:
        return ""


def is_local(headers: dict[str, str]) -> bool:
    """Whether a request names a loopback host and came through no proxy.

    `headers` has lower-case names.
    """
    if host_name(headers.get("host", "")) not in LOOPBACK:
        return False
    return not any(
        name in _FORWARDING or name.startswith("x-forwarded") for name in headers
    )


def is_own_page(headers: dict[str, str]) -> bool:
    """Whether a request that changes or computes something was sent by our own page.

    Browsers tell where a request comes from; a client that tells nothing is no
    browser and carries nobody's session.
    """
    site = headers.get("sec-fetch-site")
    if site is not None and site not in {"same-origin", "none"}:
        return False
    origin = headers.get("origin")
    if origin is None:
        return True
    try:
        return urlsplit(origin).netloc.lower() == headers.get("host", "").lower()
    except ValueError:
        return False


def is_known(path: str) -> bool:
    """Whether there is anything at a path."""
    return path in OWN_PATHS or path.startswith(OWN_PREFIXES)


def content_policy(hashes: Sequence[str]) -> str:
    """Content-security policy: own scripts and styles, no outside address at all."""
    scripts = " ".join(["'self'", *hashes])
    return (
        f"default-src 'self'; script-src {scripts}; "
        "style-src 'self' 'unsafe-inline'; img-src 'self' data: blob:; "
        "font-src 'self' data:; connect-src 'self'; worker-src 'self' blob:; "
        "object-src 'none'; base-uri 'none'; form-action 'self'; "
        "frame-ancestors 'none'"
    )


def guard(server: Flask, hashes: Callable[[], Sequence[str]]) -> None:
    """Check every request and put headers on every reply."""
    server.config["MAX_CONTENT_LENGTH"] = LARGEST_BODY
    policy: list[str] = []

    def refuse() -> Response | None:
        headers = {name.lower(): value for name, value in request.headers.items()}
        if not is_local(headers):
            return Response(REFUSED, 403, mimetype="text/plain")
        if request.method not in _READING and not is_own_page(headers):
            return Response(FOREIGN, 403, mimetype="text/plain")
        if not is_known(request.path):
            return Response(NOT_FOUND, 404, mimetype="text/html")
        return None

    def add_headers(reply: Response) -> Response:
        if not policy:
            policy.append(content_policy(hashes()))
        reply.headers["Content-Security-Policy"] = policy[0]
        reply.headers["X-Content-Type-Options"] = "nosniff"
        reply.headers["Referrer-Policy"] = "no-referrer"
        reply.headers["Cross-Origin-Resource-Policy"] = "same-origin"
        return reply

    server.before_request(refuse)
    server.after_request(add_headers)
