"""The help sheet: what this screen is for, which keys work now, what the symbols mean."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from finplan.tui.models.paint import Line, Role, Run, cut, fill, line, width_of, wrap
from finplan.tui.models.words import (
    CLOSED,
    CLOSING,
    DONE,
    DRYING,
    KIND_SYMBOLS,
    OPEN,
    OVERDUE,
    PLANNED,
    READY,
    SKIPPED,
)

KEY_WIDTH = 12


def help_lines(
    texts: Iterable[str], keys: Mapping[str, Sequence[str]], width: int
) -> tuple[Line, ...]:
    """Return the help for a screen.

    Args:
        texts: what the screen and the focused thing say of themselves.
        keys: the keys of each action that work now.
        width: cells of room.
    """
    lines: list[Line] = []
    for text in texts:
        if text:
            lines += [*wrap(text, width), ()]
    lines.append(line(("Keys that work now", Role.HEADING)))
    rows = [
        line((fill("  ".join(dict.fromkeys(own)), KEY_WIDTH), Role.KEY), words)
        for words, own in keys.items()
    ]
    lines += _in_columns(rows, width)
    lines += [(), line(("Symbols", Role.HEADING))]
    states = (DONE, READY, PLANNED, OVERDUE, DRYING, SKIPPED, OPEN, CLOSING, CLOSED)
    lines += _in_rows([state.text for state in states], width)
    lines += _in_rows([f"{symbol} {kind.value}" for kind, symbol in KIND_SYMBOLS.items()], width)
    lines += [()]
    lines += wrap(
        "safe: the cautious time, on which finplan plans and reminds. likely: the median. "
        "Only the wood tells for sure: touch a hidden spot.",
        width,
        Role.QUIET,
    )
    return tuple(lines)


def _in_rows(words: Sequence[str], width: int) -> list[Line]:
    """Set symbols with their words side by side, none broken at the end of a line."""
    each = max(len(one) for one in words) + 2
    a_row = max(width // each, 1)
    return [
        line("".join(f"{one:<{each}}" for one in words[at : at + a_row]).rstrip())
        for at in range(0, len(words), a_row)
    ]


def _in_columns(rows: list[Line], width: int) -> list[Line]:
    """Set rows in two columns where the width allows."""
    if width < 2 * 34:
        return rows
    half, each = (len(rows) + 1) // 2, width // 2
    both = []
    for index in range(half):
        left = cut(rows[index], each - 1)
        right = rows[index + half] if index + half < len(rows) else ()
        both.append((*left, Run(" " * (each - width_of(left))), *right))
    return both
