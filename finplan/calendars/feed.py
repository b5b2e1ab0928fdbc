"""The feed server: the calendar and one page 'what now', read-only, behind an unguessable path."""

from __future__ import annotations

import datetime as dt
import hashlib
import hmac
import ipaddress
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from email.utils import format_datetime
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from socket import AF_INET, AF_INET6

from finplan.trade.errors import BadInput

CALENDAR_NAME = "finplan.ics"
PAGE_NAME = "now"
REQUESTS_A_MINUTE = 60
"""For each client address; a subscriber asks a few times an hour (our choice)."""

_READ_TIMEOUT_S = 10.0
_AGAIN_S = 600
_MOST_CLIENTS = 10_000

PAGE_POLICY = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'"


@dataclass(frozen=True, slots=True)
class Served:
    """What one address answers with. ``etag`` '' means: take the body's own digest."""

    body: bytes
    changed: dt.datetime
    etag: str = ""


@dataclass(frozen=True, slots=True)
class FeedContent:
    """Where the server gets its two answers; called for each request, from several threads."""

    calendar: Callable[[], Served]
    page: Callable[[], Served]


class RateLimit:
    """So many requests a minute for each address, refilled steadily."""

    def __init__(self, a_minute: int, clock: Callable[[], float] = time.monotonic) -> None:
        self._most = float(a_minute)
        self._clock = clock
        self._left: dict[str, tuple[float, float]] = {}
        self._lock = threading.Lock()

    def wait_s(self, address: str) -> float:
        """Take one request for an address; return 0, or the seconds it has to wait."""
        now = self._clock()
        with self._lock:
            if len(self._left) >= _MOST_CLIENTS:
                self._left.clear()
            left, at = self._left.get(address, (self._most, now))
            left = min(self._most, left + (now - at) * self._most / 60.0)
            if left < 1.0:
                self._left[address] = (left, now)
                return (1.0 - left) * 60.0 / self._most
            self._left[address] = (left - 1.0, now)
            return 0.0


class FeedServer(ThreadingHTTPServer):
    """Serves the feed; made by ``feed_server``."""

    daemon_threads = True
    allow_reuse_address = True

    def __init__(
        self,
        address: tuple[str, int],
        content: FeedContent,
        token: str,
        limit: RateLimit,
    ) -> None:
        self.address_family = AF_INET6 if ":" in address[0] else AF_INET
        self.content = content
        self.token = token
        self.limit = limit
        super().__init__(address, _Handler)

    @property
    def address(self) -> str:
        """The address without the secret path, as it may be shown anywhere."""
        host, port = self.server_address[:2]
        shown = f"[{host!s}]" if ":" in str(host) else str(host)
        return f"http://{shown}:{port}/"

    def handle_error(self, request: object, client_address: object) -> None:
        """Say nothing of a client that went away: a trace would show the secret path."""


class _Handler(BaseHTTPRequestHandler):
    server: FeedServer
    server_version = "finplan"
    sys_version = ""
    protocol_version = "HTTP/1.1"
    timeout = _READ_TIMEOUT_S

    def do_GET(self) -> None:
        """Answer with the calendar or the page."""
        self._answer(with_body=True)

    def do_HEAD(self) -> None:
        """Answer with the headers alone."""
        self._answer(with_body=False)

    def log_message(self, format: str, *args: object) -> None:  # noqa: A002 (the base's name)
        """Log nothing: request lines hold the token."""

    def _answer(self, with_body: bool) -> None:
        wait = self.server.limit.wait_s(str(self.client_address[0]))
        if wait > 0:
            self._refuse(HTTPStatus.TOO_MANY_REQUESTS, {"Retry-After": str(int(wait) + 1)})
            return
        parts = self.path.split("?", 1)[0].split("/")
        known = len(parts) == 3 and hmac.compare_digest(
            parts[1].encode("utf-8", "replace"), self.server.token.encode()
        )
        content = self.server.content
        try:
            if known and parts[2] == CALENDAR_NAME:
                self._serve(content.calendar(), "text/calendar; charset=utf-8", with_body)
            elif known and parts[2] == PAGE_NAME:
                self._serve(content.page(), "text/html; charset=utf-8", with_body)
            else:
                self._refuse(HTTPStatus.NOT_FOUND, {})
        except BadInput:  # such as no plan: who subscribes keeps what they have, and asks again
            self._refuse(HTTPStatus.SERVICE_UNAVAILABLE, {"Retry-After": str(_AGAIN_S)})

    def _serve(self, served: Served, kind: str, with_body: bool) -> None:
        etag = f'"{served.etag or hashlib.sha256(served.body).hexdigest()[:32]}"'
        headers = {
            "ETag": etag,
            "Last-Modified": format_datetime(served.changed.astimezone(dt.UTC), usegmt=True),
            "Cache-Control": "private, no-cache",
            "Content-Security-Policy": PAGE_POLICY,
        }
        if _names(self.headers.get("If-None-Match", ""), etag):
            self._head(HTTPStatus.NOT_MODIFIED, headers)
            return
        sized = {"Content-Type": kind, "Content-Length": str(len(served.body))}
        self._head(HTTPStatus.OK, headers | sized)
        if with_body:
            self.wfile.write(served.body)

    def _refuse(self, status: HTTPStatus, headers: dict[str, str]) -> None:
        self._head(status, headers | {"Content-Length": "0", "Connection": "close"})
        self.close_connection = True

    def _head(self, status: HTTPStatus, headers: dict[str, str]) -> None:
        self.send_response(status)
        for name, value in headers.items():
            self.send_header(name, value)
        self.send_header("X-Content-Type-Options", "nosniff")
        self.send_header("Referrer-Policy", "no-referrer")
        self.end_headers()


def feed_server(
    content: FeedContent,
    token: str,
    host: str = "127.0.0.1",
    port: int = 0,
    limit: RateLimit | None = None,
) -> FeedServer:
    """Make a server that is bound but not yet running; the caller runs ``serve_forever``.

    Args:
        content: what it answers with.
        token: the secret part of the path (``tokens.new_token``).
        host: loopback unless the person asks for more.
        port: 0 for any free one.
        limit: requests a minute; None for ``REQUESTS_A_MINUTE``.

    Raises:
        BadInput: the address can't be used.
    """
    try:
        return FeedServer((host, port), content, token, limit or RateLimit(REQUESTS_A_MINUTE))
    except OverflowError:
        raise BadInput(f"port {port}: give 0 to 65535, 0 for any free one", "feed") from None
    except OSError as error:
        raise BadInput(
            f"{host} port {port} can't be used ({error.strerror}): give another port or address",
            "feed",
        ) from None


def lan_warning(host: str) -> str | None:
    """Return the plain warning for an address others can reach, None for loopback."""
    try:
        loopback = ipaddress.ip_address(host).is_loopback
    except ValueError:
        loopback = host == "localhost"
    if loopback:
        return None
    return (
        f"Everybody in the network of {host} who learns the address can read your finishing plan, "
        "and it travels unencrypted: use it at home only, and change the token when in doubt."
    )


def _names(header: str, etag: str) -> bool:
    """Say whether an If-None-Match header names the tag (weak comparison, RFC 9110)."""
    tags = [tag.strip().removeprefix("W/") for tag in header.split(",")]
    return etag in tags or "*" in tags
