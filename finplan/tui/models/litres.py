"""Litres coat by coat as bars, to be looked at rather than read."""

from __future__ import annotations

from typing import TYPE_CHECKING

from finplan.tui.models.measures import Measures
from finplan.tui.models.paint import Line, Role, cut, fill, line

if TYPE_CHECKING:
    from finplan.services.materials import FinishNeed

BAR = "━"
LEAST_WIDTH = 34
_LABEL, _AMOUNT = 9, 10


def litres_lines(need: FinishNeed, measures: Measures, width: int) -> tuple[Line, ...]:
    """Return a bar for each coat of a finish, likely and without waste; none where it is narrow."""
    most = max((coat.litres for coat in need.coats), default=0.0)
    room = width - _LABEL - _AMOUNT - 1
    if width < LEAST_WIDTH or not most:
        return ()
    lines = []
    for coat in need.coats:
        name = f"coat {coat.coat}" if coat.coat else "seal"
        length = max(round(coat.litres / most * room), 1)
        lines.append(
            line(
                (fill(f"  {name}", _LABEL), Role.QUIET),
                (BAR * length, Role.WET),
                (" " * (room - length), Role.PLAIN),
                (fill(measures.volume(coat.litres, 3), _AMOUNT, right=True), Role.QUIET),
            )
        )
    return tuple(cut(one, width) for one in lines)
