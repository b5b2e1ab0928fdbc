"""One calendar on a CalDAV server (RFC 4791), its refusals told in sentences."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any
from urllib.parse import unquote, urlsplit
from xml.sax.saxutils import escape

from finplan.calendars.account import Account
from finplan.trade.errors import BadInput

if TYPE_CHECKING:
    from caldav.davclient import DAVClient

_TIMEOUT_S = 30
_ETAGS = (
    '<?xml version="1.0" encoding="utf-8"?>'
    '<d:propfind xmlns:d="DAV:"><d:prop><d:getetag/></d:prop></d:propfind>'
)
_CALDAV = "urn:ietf:params:xml:ns:caldav"
_MULTIGET = (
    '<?xml version="1.0" encoding="utf-8"?>'
    f'<c:calendar-multiget xmlns:d="DAV:" xmlns:c="{_CALDAV}">'
    "<d:prop><d:getetag/><c:calendar-data/></d:prop>{hrefs}</c:calendar-multiget>"
)
_IN_TIME = (
    '<?xml version="1.0" encoding="utf-8"?>'
    f'<c:calendar-query xmlns:d="DAV:" xmlns:c="{_CALDAV}">'
    "<d:prop><d:getetag/><c:calendar-data/></d:prop>"
    '<c:filter><c:comp-filter name="VCALENDAR"><c:comp-filter name="VEVENT">'
    '<c:time-range start="{start:%Y%m%dT%H%M%SZ}" end="{end:%Y%m%dT%H%M%SZ}"/>'
    "</c:comp-filter></c:comp-filter></c:filter></c:calendar-query>"
)
_MANY = 200
"""Items asked for in one request."""

_ICALENDAR = {"Content-Type": "text/calendar; charset=utf-8"}
_PRECONDITION_FAILED = 412
_NOT_FOUND = (404, 410)
_CREATED = (200, 201, 204)


class ServerFailed(BadInput):
    """The server can't be used, or not any more: what went before is kept."""


class Stale(Exception):
    """The item on the server is not the one we knew (a precondition failed)."""


@dataclass(frozen=True, slots=True)
class CalendarFound:
    """A calendar of an account: its address, and what people call it."""

    url: str
    name: str


@dataclass(frozen=True, slots=True)
class OnServer:
    """An item as the server has it."""

    etag: str
    data: bytes


class CalendarServer:
    """One calendar; each method is one request, and a lost connection is ServerFailed."""

    def __init__(self, client: DAVClient, url: str) -> None:
        self._client = client
        self._url = url if url.endswith("/") else f"{url}/"

    def etags(self) -> dict[str, str]:
        """Return the ETag of every resource by its name, in one request."""
        with _told(self._url):
            answer = self._client.propfind(self._url, _ETAGS, depth=1)
        if answer.status != 207 or answer.tree is None:
            raise ServerFailed(f"there is no calendar (status {answer.status})", self._url)
        return {
            name: etag
            for name, response in _responses(answer.tree)
            if (etag := response.findtext(".//{DAV:}getetag"))
        }

    def get(self, name: str) -> OnServer | None:
        """Return a resource, None when it is not there."""
        answer = self._request("GET", name)
        if answer.status in _NOT_FOUND:
            return None
        self._refuse_unless(answer.status == 200, answer.status, name)
        raw = answer.raw
        data = raw if isinstance(raw, bytes) else str(raw).encode()
        return OnServer(answer.headers.get("ETag", ""), data)

    def get_many(self, names: Sequence[str]) -> dict[str, OnServer]:
        """Return those of some resources that are there, by name; many in one request."""
        path = urlsplit(self._url).path
        found: dict[str, OnServer] = {}
        for begin in range(0, len(names), _MANY):
            hrefs = "".join(
                f"<d:href>{escape(path + name)}</d:href>" for name in names[begin : begin + _MANY]
            )
            found |= self._report(_MULTIGET.format(hrefs=hrefs))
        return found

    def events_between(self, start: dt.datetime, end: dt.datetime) -> dict[str, OnServer]:
        """Return the events that touch a stretch (aware instants), whole series, by name."""
        return self._report(
            _IN_TIME.format(start=start.astimezone(dt.UTC), end=end.astimezone(dt.UTC))
        )

    def _report(self, question: str) -> dict[str, OnServer]:
        with _told(self._url):
            answer = self._client.report(self._url, question, depth=1)
        self._refuse_unless(answer.status == 207, answer.status, "a look at its items")
        found: dict[str, OnServer] = {}
        for name, response in _responses(answer.tree):
            etag = response.findtext(".//{DAV:}getetag")
            data = response.findtext(f".//{{{_CALDAV}}}calendar-data")
            if etag and data:
                # XML has no carriage returns: they are as the server got them otherwise.
                found[name] = OnServer(etag, data.replace("\r\n", "\n").encode())
        return found

    def create(self, name: str, data: bytes) -> str:
        """Put a new resource; return its ETag ('' when the server does not tell).

        Raises:
            Stale: one of that name is there already.
        """
        return self._put(name, data, {"If-None-Match": "*"})

    def update(self, name: str, data: bytes, etag: str) -> str:
        """Replace a resource that still has ``etag``; return the new one.

        Raises:
            Stale: it has another by now.
        """
        return self._put(name, data, {"If-Match": etag})

    def delete(self, name: str, etag: str) -> None:
        """Delete a resource that still has ``etag``; one that is gone already is fine.

        Raises:
            Stale: it has another by now.
        """
        answer = self._request("DELETE", name, headers={"If-Match": etag})
        if answer.status in _NOT_FOUND:
            return
        if answer.status == _PRECONDITION_FAILED:
            raise Stale(name)
        self._refuse_unless(answer.status in (200, 202, 204), answer.status, name)

    def _put(self, name: str, data: bytes, condition: Mapping[str, str]) -> str:
        answer = self._request("PUT", name, data.decode(), {**_ICALENDAR, **condition})
        if answer.status == _PRECONDITION_FAILED:
            raise Stale(name)
        self._refuse_unless(answer.status in _CREATED, answer.status, name)
        etag: str = answer.headers.get("ETag", "")
        return etag

    def _request(
        self, method: str, name: str, body: str = "", headers: Mapping[str, str] | None = None
    ) -> Any:
        with _told(self._url):
            return self._client.request(f"{self._url}{name}", method, body, dict(headers or {}))

    def _refuse_unless(self, fine: bool, status: int, name: str) -> None:
        if not fine:
            raise ServerFailed(f"the server refused {name} (status {status})", self._url)


def _responses(tree: Any) -> Iterator[tuple[str, Any]]:
    """Yield the resources of a multistatus answer by name, without the calendar itself."""
    for response in tree.iter("{DAV:}response"):
        path = urlsplit(response.findtext("{DAV:}href") or "").path
        if not path.endswith("/"):
            yield unquote(path.rsplit("/", 1)[-1]), response


@contextmanager
def connected(account: Account, password: str) -> Iterator[DAVClient]:
    """Connect to an account; certificates are checked."""
    from caldav.davclient import DAVClient

    client = DAVClient(
        account.url,
        username=account.user,
        password=password,
        timeout=_TIMEOUT_S,
        require_tls=account.url.startswith("https:"),
        enable_rfc6764=False,
    )
    with client:
        yield client


def calendars_of(client: DAVClient) -> tuple[CalendarFound, ...]:
    """Return the calendars of an account, to be chosen from."""
    with _told(str(client.url)):
        calendars: Any = client.get_principal().get_calendars()
        found = [
            CalendarFound(str(calendar.url), str(calendar.get_display_name() or ""))
            for calendar in calendars
        ]
    return tuple(sorted(found, key=lambda calendar: (calendar.name, calendar.url)))


@contextmanager
def _told(url: str) -> Iterator[None]:
    """Turn what the library raises into a sentence; it never holds the password."""
    from caldav.lib.error import AuthorizationError, DAVError

    try:
        yield
    except AuthorizationError:
        raise ServerFailed("access was refused: look at name, password and address", url) from None
    except DAVError as error:
        raise ServerFailed(
            f"the server's answer can't be used ({type(error).__name__})", url
        ) from None
    except OSError as error:
        raise ServerFailed(
            f"the server can't be reached ({type(error).__name__}): nothing is lost, try again",
            url,
        ) from None
