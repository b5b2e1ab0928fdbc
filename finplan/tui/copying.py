"""Copying what a screen lists, out of the program."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from textual.app import App

from finplan.trade.names import counted
from finplan.tui import clipboard

ToCopy = Callable[[], str]
"""Makes the text of a list as it showed when it was asked for; a long one takes its time."""


def listed(app: App[Any]) -> ToCopy:
    """Return what makes the text of the list that has the focus, else of the first one."""
    screen = app.screen
    for node in (screen.focused, *screen.query("TableView, Lines")):
        to_copy: Callable[[], ToCopy] | None = getattr(node, "to_copy", None)
        if to_copy is not None:
            return to_copy()
    return str


def copy(to_copy: ToCopy, terminal: Callable[[str], None]) -> str:
    """Copy a list, and return which way was used.

    Args:
        to_copy: makes the list's text.
        terminal: asks the terminal to take the text.
    """
    text = to_copy()
    if not text:
        return "There is no list here to copy."
    return f"{_lines_of(text)} copied {clipboard.copy(text, terminal)}."


def copy_to_file(to_copy: ToCopy, name: str) -> str:
    """Write a list to a new file in the present folder, and return where it is."""
    text = to_copy()
    if not text:
        return "There is no list here to write."
    try:
        path = clipboard.write_file(text, Path.cwd(), name)
    except OSError as fault:
        return f"Not written: {fault.strerror or fault}."
    return f"{_lines_of(text)} written to {path}"


def _lines_of(text: str) -> str:
    return counted(len(text.splitlines()), "line")
