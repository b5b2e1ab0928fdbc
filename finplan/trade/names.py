"""Short texts: names that people type, made safe to show, store and send; numbers with a noun."""

from __future__ import annotations

import difflib
import re
import unicodedata
from typing import TYPE_CHECKING

from finplan.trade.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Iterable

LONGEST_NAME = 120
LONGEST_NOTE = 4000
_LEGAL_PROJECT_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,63}")
_JOINERS = {"\u200c", "\u200d"}
"""Invisible, but some scripts can't be written without them."""


def clean_text(text: str, where: str, most: int = LONGEST_NAME) -> str:
    """Return the text in Unicode NFC, runs of white space as one space, ends trimmed.

    Markup is left as it stands: whoever shows the text shows it as plain text.

    Args:
        text: what was typed.
        where: the place named in front of an error.
        most: how many letters are allowed.

    Raises:
        BadInput: empty, too long, or with control or direction-changing characters.
    """
    if len(text) > 4 * most:
        raise BadInput(f"{len(text)} letters are too many: use {most} at most", where)
    _refuse_control_characters(" ".join(text.split()), where)
    cleaned = " ".join(unicodedata.normalize("NFC", text).split())
    if not cleaned:
        raise BadInput("is empty: write a text", where)
    if len(cleaned) > most:
        raise BadInput(f"{len(cleaned)} letters are too many: use {most} at most", where)
    return cleaned


def clean_note(text: str, where: str, most: int = LONGEST_NOTE) -> str:
    """Return a text of several lines, cleaned like ``clean_text``; it may be empty."""
    if len(text) > most:
        raise BadInput(f"{len(text)} letters are too many: use {most} at most", where)
    lines = [" ".join(line.split()) for line in unicodedata.normalize("NFC", text).splitlines()]
    for line in lines:
        _refuse_control_characters(line, where)
    return "\n".join(lines).strip()


def legal_project_name(text: str, where: str = "project name") -> str:
    """Return a name that commands take: letters, digits, ``_`` and ``-``, at most 64.

    Raises:
        BadInput: anything else, with a name that would do where one can be made.
    """
    if _LEGAL_PROJECT_NAME.fullmatch(text):
        return text
    plain = unicodedata.normalize("NFKD", text[:200]).encode("ascii", "ignore").decode()
    offered = re.sub(r"[^A-Za-z0-9]+", "-", plain).strip("-").lower()[:64].rstrip("-")
    remedy = f", e.g. {offered}" if offered else ""
    raise BadInput(
        f"{shown(text)} can't be used: take up to 64 letters a-z, digits, - and _{remedy}", where
    )


def name_from(title: str, taken: Iterable[str], otherwise: str) -> str:
    """Return a name that commands take, made from a title, that is none of ``taken``.

    Args:
        title: what people call the thing.
        taken: names that are in use.
        otherwise: the name where the title has no letter that may stand in one.
    """
    plain = unicodedata.normalize("NFKD", title[:200]).encode("ascii", "ignore").decode().lower()
    name = re.sub(r"[^a-z0-9]+", "_", plain).strip("_")[:40] or otherwise
    used, number, chosen = set(taken), 1, name
    while chosen in used:
        number += 1
        chosen = f"{name}_{number}"
    return chosen


def shown(text: str, most: int = 40) -> str:
    """Quote a text so that it is safe and short to show in a message."""
    safe = "".join(letter if letter.isprintable() else "?" for letter in text[:most])
    return f"'{safe}…'" if len(text) > most else f"'{safe}'"


def counted(number: int, one: str, many: str = "") -> str:
    """Return a number with its noun: ``1 piece``, ``3 pieces``; ``many`` where no s is added."""
    return f"{number} {one if number == 1 else many or f'{one}s'}"


def nearest(name: str, known: Iterable[str]) -> str | None:
    """Return the known name most like what was typed, whatever the letter case; None if none is."""
    by_lower = {one.lower(): one for one in known}
    near = difflib.get_close_matches(name[:80].lower(), by_lower, n=1, cutoff=0.6)
    return by_lower[near[0]] if near else None


def did_you_mean(name: str, known: Iterable[str]) -> str:
    """Return `` (did you mean 'x'?)`` for the nearest known name, or nothing."""
    near = nearest(name, known)
    return f" (did you mean '{near}'?)" if near is not None else ""


def _refuse_control_characters(text: str, where: str) -> None:
    if text.isprintable():
        return
    for position, letter in enumerate(text, start=1):
        category = unicodedata.category(letter)
        hidden = category == "Cf" and letter not in _JOINERS
        if hidden or category in {"Cc", "Cs", "Cn", "Zl", "Zp"}:
            raise BadInput(
                f"letter {position} is the invisible character U+{ord(letter):04X}: remove it",
                where,
            )
