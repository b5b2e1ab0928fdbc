"""Text made safe for calendars: the library guards some values only by assertions."""

from __future__ import annotations

import unicodedata

LONGEST_TITLE = 250
LONGEST_TEXT = 8000
"""Letters; longer ones are cut, as readers choke on them (our choice)."""

_LINE_BREAKS = str.maketrans(
    {"\r": "\n", "\v": "\n", "\f": "\n", "\x85": "\n", "\u2028": "\n", "\u2029": "\n"}
)
_NEVER = frozenset({"Cc", "Cs", "Cf"})
"""Kinds of character that show nothing: controls, lone surrogates, direction marks. Letters this
Python does not know yet are kept, so that a newer one changes no text."""

_JOINERS = frozenset("\u200c\u200d")
"""Marks that show nothing by themselves but shape the letters of some scripts."""


def clean_text(text: str) -> str:
    """Return text of several lines without controls, direction marks and lone surrogates."""
    lines = unicodedata.normalize("NFC", text.replace("\r\n", "\n").translate(_LINE_BREAKS))
    kept = lines
    if not lines.replace("\n", "").isprintable():  # most texts are, and need no second look
        kept = "".join(letter for letter in lines if letter == "\n" or _shows(letter))
    return _cut("\n".join(line.rstrip() for line in kept.split("\n")).strip("\n"), LONGEST_TEXT)


def clean_line(text: str) -> str:
    """Return text as one line, its white space drawn together."""
    return _cut(" ".join(clean_text(text.replace("\t", " ")).split()), LONGEST_TITLE)


def _shows(letter: str) -> bool:
    if ord(letter) & 0xFFFE == 0xFFFE:  # no characters at all, and forbidden in XML
        return False
    return letter in _JOINERS or unicodedata.category(letter) not in _NEVER


def _cut(text: str, longest: int) -> str:
    return text if len(text) <= longest else text[: longest - 1].rstrip() + "…"
