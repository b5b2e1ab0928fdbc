"""The first reading of the data, made in a process of its own while this one loads the screens.

Loading what reads and plans takes as long as loading what draws, so both go on side by side.
"""

from __future__ import annotations

import os
from contextlib import redirect_stderr, suppress
from importlib import import_module
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from pathlib import Path
from typing import TYPE_CHECKING

from finplan.planning.aside import start_aside
from finplan.tui.settings import usual_memory
from finplan.tui.shop import Shop

if TYPE_CHECKING:
    from finplan.tui.models.view import View


OF_BOTH = ("services.planned", "services.overview", "services.materials")
"""What is handed over is made of these: loaded before there are two processes, not in each."""

OF_LATER = ("planning.make", "services.journal", "services.record")
"""What this process plans and records with, which it is spared at first."""


class FirstReading:
    """The data, being opened and read from now on.

    Whatever goes wrong here ends with nothing to hand over: the program then reads the data
    itself, and tells what is wrong with it.
    """

    def __init__(
        self, data: str | None, now: str | None, units: str | None, zone: str | None
    ) -> None:
        _load(OF_BOTH)
        self._child: BaseProcess | None = None
        self._line: Connection | None = None
        with suppress(OSError):  # no process to be had
            self._child, self._line = start_aside(read_first, copied=True)
            self._line.send((data, now, units, zone))

    def opened(self) -> bool:
        """Wait until the data is open, and return whether it is."""
        if self._line is None:
            return False
        try:
            return bool(self._line.recv())
        except (EOFError, OSError):
            return False

    def take(self) -> tuple[int, View] | None:
        """Wait for the reading and return the data's change stamp and the view of it."""
        if self._child is None or self._line is None:
            return None
        try:
            found: tuple[int, View] = self._line.recv()
        except (EOFError, OSError):
            return None
        finally:
            self._line.close()
            self._child.join()
        return found


def load_for_later() -> None:
    """Load what plans and records, so that the first time is as quick as any other."""
    _load(OF_LATER)


def _load(names: tuple[str, ...]) -> None:
    for name in names:
        import_module(f"finplan.{name}")


def read_first(line: Connection) -> None:
    """Read the data that the line names, and send that it is open, its stamp and its view."""
    with Path(os.devnull).open("w") as nowhere, redirect_stderr(nowhere):  # the screen is not ours
        data, now, units, zone = line.recv()
        memory = usual_memory(data)
        shop = Shop(data, now, units or memory.units, zone)
        shop.workshop = memory.workshop
        try:
            stamp = shop.stamp()
            line.send(True)
            line.send((stamp, shop.read()))
        except Exception:
            return  # it is read again where faults are told
