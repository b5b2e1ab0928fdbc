"""Copying what a screen lists, out of the program."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from textual.app import App

from finplan.tui import clipboard


def text_to_copy(app: App[Any]) -> str:
    """Return the list that has the focus as text, else the first one of the screen."""
    screen = app.screen
    for node in (screen.focused, *screen.query("TableView, Lines")):
        copied = getattr(node, "copy_text", None)
        if copied is not None:
            return str(copied())
    return ""


def copy(app: App[Any]) -> str:
    """Copy the list, and return which way was used."""
    text = text_to_copy(app)
    if not text:
        return "There is no list here to copy."
    way = clipboard.copy(text, app.copy_to_clipboard)
    return f"{_lines_of(text)} copied {way}."


def copy_to_file(app: App[Any]) -> str:
    """Write the list to a new file in the present folder, and return where it is."""
    text = text_to_copy(app)
    if not text:
        return "There is no list here to write."
    try:
        path = clipboard.write_file(text, Path.cwd(), f"finplan-{app.current_mode}")
    except OSError as fault:
        return f"Not written: {fault.strerror or fault}."
    return f"{_lines_of(text)} written to {path}"


def _lines_of(text: str) -> str:
    count = len(text.splitlines())
    return "1 line" if count == 1 else f"{count} lines"
