"""What rang on this machine, kept in a small file, and a lock so that two timers ring once."""

from __future__ import annotations

import contextlib
import datetime as dt
import json
import os
import sys
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from finplan.alerts.notice import NotDelivered
from finplan.trade.errors import BadInput

KEPT_DAYS = 60
"""How long it is remembered that something rang; its reminder is over long before."""


@dataclass(frozen=True, slots=True)
class Alarm:
    """One thing to ring: what is remembered of it, and what is shown."""

    key: str
    title: str
    body: str


@dataclass(frozen=True, slots=True)
class Delivery:
    """What came of ringing: keys that were delivered, and why others were not."""

    delivered: tuple[str, ...]
    failures: tuple[str, ...]


class Rung:
    """The memory of what rang; use inside ``opened``."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._times = _read(path)

    @property
    def keys(self) -> frozenset[str]:
        """What rang already."""
        return frozenset(self._times)

    def add(self, key: str, now: dt.datetime) -> None:
        """Remember at once that something rang, and forget what is long over."""
        oldest = (now - dt.timedelta(days=KEPT_DAYS)).isoformat()
        self._times = {k: at for k, at in self._times.items() if at >= oldest}
        self._times[key] = now.astimezone(dt.UTC).isoformat()
        beside = self._path.with_name(f".{self._path.name}.new")
        try:
            beside.write_text(json.dumps(self._times, indent=0, sort_keys=True), encoding="utf-8")
            beside.replace(self._path)
        except OSError as error:
            raise BadInput(f"can't be written ({error.strerror})", str(self._path)) from None


@contextlib.contextmanager
def opened(path: Path) -> Iterator[Rung | None]:
    """Open the memory for one run alone; yields None while another run holds it.

    Raises:
        BadInput: the folder can't be written to.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle = os.open(path.with_name(f"{path.name}.lock"), os.O_RDWR | os.O_CREAT, 0o600)
    except OSError as error:
        raise BadInput(f"can't be written ({error.strerror})", str(path)) from None
    try:
        # The lock ends with the process, so a crash leaves none behind.
        yield Rung(path) if _locked(handle) else None
    finally:
        os.close(handle)


def deliver(
    alarms: Iterable[Alarm],
    rung: Rung,
    send: Callable[[Alarm], None],
    now: dt.datetime,
) -> Delivery:
    """Send alarms; each is marked as rung only once it was really delivered."""
    delivered: list[str] = []
    failures: list[str] = []
    for alarm in alarms:
        if alarm.key in rung.keys:
            continue
        try:
            send(alarm)
        except NotDelivered as failure:
            failures.append(str(failure))
            continue
        rung.add(alarm.key, now)
        delivered.append(alarm.key)
    return Delivery(tuple(delivered), tuple(dict.fromkeys(failures)))


def _read(path: Path) -> dict[str, str]:
    """Read the memory; a file that can't be read counts as empty: ringing twice beats never."""
    try:
        times = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    if not isinstance(times, dict):
        return {}
    return {str(key): at for key, at in times.items() if isinstance(at, str)}


def _locked(handle: int) -> bool:
    if sys.platform == "win32":
        import msvcrt

        try:
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True
    import fcntl

    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True
