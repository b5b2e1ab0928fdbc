"""The care sheet as lines."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from finplan.tui.models.paint import Line, Role, line, tidy, wrap

if TYPE_CHECKING:
    from finplan.services.care import CareBlock

TEXT_WIDTH = 78


def care_lines(blocks: Iterable[CareBlock], width: int) -> tuple[Line, ...]:
    """Return a care sheet, block by block."""
    lines: list[Line] = []
    for block in blocks:
        lines.append(line((tidy(block.heading), Role.HEADING)))
        for words in block.lines:
            first, *more = wrap(tidy(words, 2000), width - 2) or ((),)
            lines.append(line("- ", *first))
            lines += [line("  ", *one) for one in more]
        lines.append(())
    return tuple(lines[:-1])
