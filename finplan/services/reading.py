"""Read a file a person named; write one whole or not at all."""

from __future__ import annotations

import os
import secrets
from pathlib import Path

from finplan.trade.errors import BadInput
from finplan.trade.names import shown

LARGEST_BYTES = 64 * 1024 * 1024
"""No project, cut list or log comes near this; a larger file is another kind of file."""


def path_written(text: str) -> Path:
    """Return the path a person wrote, in quotes or not; ``~`` stands for a home folder.

    Raises:
        BadInput: there is no such home folder.
    """
    try:
        return Path(text.strip().strip("\"'")).expanduser()
    except RuntimeError:
        raise BadInput("there is no such home folder: write the whole path", shown(text)) from None


def is_file(path: Path) -> bool:
    """Say whether a file is there; what can be no name of a file is none."""
    try:
        return path.is_file()
    except OSError:
        return False


def read_bytes(path: Path) -> bytes:
    """Return a file's bytes.

    Raises:
        BadInput: it is not there, is a folder, may not be read, or is far too large.
    """
    try:
        if path.is_dir():
            raise BadInput("this is a folder: give a file", str(path))
        if path.stat().st_size > LARGEST_BYTES:
            raise BadInput("is larger than 64 MB: give the right file", str(path))
        return path.read_bytes()
    except BadInput:
        raise
    except FileNotFoundError:
        raise BadInput("there is no such file: check the name", str(path)) from None
    except (OSError, ValueError) as fault:
        reason = getattr(fault, "strerror", None) or str(fault)
        raise BadInput(f"it cannot be read ({reason}): check the file", str(path)) from None


def read_text(path: Path) -> str:
    """Return a file's text, UTF-8 with or without a mark.

    Raises:
        BadInput: it cannot be read, or is not UTF-8.
    """
    try:
        return read_bytes(path).decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        line = fault.object[: fault.start].count(b"\n") + 1
        raise BadInput("not UTF-8 text: save it as UTF-8", f"{path}, line {line}") from None


def write_whole(path: Path, content: bytes) -> bool:
    """Write a file in one go, and return False where it held just that already.

    No reader ever sees half of it. A link stays a link: what it points to is written.

    Raises:
        BadInput: it cannot be written. What was there stays.
    """
    if path.is_dir():
        raise BadInput("this is a folder: give the name of a file in it", str(path))
    target = Path(os.path.realpath(path))
    beside = target.with_name(f".{target.name}.{secrets.token_hex(4)}")
    try:
        if target.exists() and target.read_bytes() == content:
            return False
        beside.write_bytes(content)
        beside.replace(target)
    except (OSError, ValueError) as fault:
        beside.unlink(missing_ok=True)
        reason = getattr(fault, "strerror", None) or str(fault)
        raise BadInput(f"it cannot be written ({reason}): give another place", str(path)) from None
    return True
