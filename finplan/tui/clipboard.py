"""Copy text out: the local clipboard program, the terminal's own way, or a file."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Callable, Mapping
from pathlib import Path

PROGRAMS: tuple[tuple[str, str | None, tuple[str, ...]], ...] = (
    ("pbcopy", None, ()),
    ("wl-copy", "WAYLAND_DISPLAY", ()),
    ("xclip", "DISPLAY", ("-selection", "clipboard")),
    ("clip.exe", None, ()),
)
"""Program, the environment variable it needs, and its arguments."""

PATIENCE_S = 2.0


def local_program(environment: Mapping[str, str]) -> tuple[str, ...] | None:
    """Return the clipboard program to use here; None over a remote line or where there is none."""
    if environment.get("SSH_TTY") or environment.get("SSH_CONNECTION"):
        return None
    for name, needs, arguments in PROGRAMS:
        found = shutil.which(name, path=environment.get("PATH"))
        if found and (needs is None or environment.get(needs)):
            return (found, *arguments)
    return None


def copy(text: str, terminal: Callable[[str], None]) -> str:
    """Copy ``text`` and return which way was used, in words.

    Args:
        text: what to copy.
        terminal: asks the terminal to take the text (OSC 52).
    """
    command = local_program(os.environ)
    if command is not None:
        try:
            subprocess.run(command, input=text.encode(), timeout=PATIENCE_S, check=True)
        except (OSError, subprocess.SubprocessError):
            pass
        else:
            return f"with {Path(command[0]).name}"
    terminal(text)
    return "by the terminal (OSC 52; if nothing arrives, Y writes a file)"


def write_file(text: str, folder: Path, name: str) -> Path:
    """Write ``text`` to a new file and return its path; an existing file is never touched."""
    path = free_path(folder, name, ".txt")
    with path.open("x", encoding="utf-8") as file:
        file.write(text + "\n")
    return path


def free_path(folder: Path, name: str, ending: str) -> Path:
    """Return the first path of a name that no file has yet: ``name.pdf``, ``name-2.pdf``."""
    for number in range(1, 1000):
        path = folder / (f"{name}{ending}" if number == 1 else f"{name}-{number}{ending}")
        if not path.exists():
            return path
    raise FileExistsError(f"{folder / name}{ending}")
