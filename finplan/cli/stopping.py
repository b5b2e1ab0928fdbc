"""Ctrl-C during a long search: the first stops it and keeps what was found, the second ends all."""

from __future__ import annotations

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType


@contextmanager
def ctrl_c_stops() -> Iterator[threading.Event]:
    """Within it the first Ctrl-C sets the event given, and the next interrupts as ever."""
    stopped = threading.Event()

    def first(_number: int, _frame: FrameType | None) -> None:
        stopped.set()
        signal.signal(signal.SIGINT, signal.default_int_handler)

    before = signal.signal(signal.SIGINT, first)
    try:
        yield stopped
    finally:
        signal.signal(signal.SIGINT, before)
