"""The secret part of the feed's address, kept in a file only its owner can read."""

from __future__ import annotations

import os
import secrets
from pathlib import Path

from finplan.trade.errors import BadInput

_BYTES = 24
_FEWEST_LETTERS = 24


def new_token() -> str:
    """Return a fresh token of 192 bits, in letters that stand in an address."""
    return secrets.token_urlsafe(_BYTES)


def kept_token(path: Path) -> str:
    """Return the token in a file; make one when there is no file yet.

    Raises:
        BadInput: the file can't be read or written, or holds no token.
    """
    try:
        token = path.read_text(encoding="ascii").strip()
    except FileNotFoundError:
        return rotate_token(path)
    except (OSError, UnicodeDecodeError):
        raise BadInput("can't be read: remove it to get a new token", str(path)) from None
    if len(token) < _FEWEST_LETTERS or not set(token) <= _LETTERS:
        raise BadInput("holds no token: remove it to get a new one", str(path))
    return token


def rotate_token(path: Path) -> str:
    """Put a new token into the file; addresses with the old one stop working at the next start.

    Raises:
        BadInput: the file can't be written.
    """
    token = new_token()
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        beside = path.with_name(f".{path.name}.new")
        handle = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        with os.fdopen(handle, "w", encoding="ascii") as file:
            file.write(f"{token}\n")
        beside.replace(path)
    except OSError as error:
        raise BadInput(f"can't be written ({error.strerror})", str(path)) from None
    return token


_LETTERS = frozenset("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_")
