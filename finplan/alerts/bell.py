"""The terminal's bell."""

from __future__ import annotations

from typing import TextIO


def ring(terminal: TextIO, times: int = 1) -> bool:
    """Ring the bell of a terminal; return False, and write nothing, where there is none."""
    if not terminal.isatty():
        return False
    terminal.write("\a" * times)
    terminal.flush()
    return True
