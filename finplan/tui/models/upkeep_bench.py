"""What upkeep comes, for the opening screen."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from finplan.tui.models.paint import Line, Role, cut, line, spread, tidy
from finplan.tui.models.upkeep import (
    HOLDS,
    INSTALL,
    WORKS,
    day,
    finished_projects,
    shown_day,
    state_of_coming,
    today_of,
)
from finplan.tui.models.view import View
from finplan.tui.models.words import OVERDUE, READY, SOON

if TYPE_CHECKING:
    from finplan.services.upkeep import PieceSeen, YearsAhead
    from finplan.tracking.upkeep.cycle import Coming

ONE_LINE = "Upkeep  "
"""Stands before the one line that a small bench has room for."""


def bench_lines(view: View, care: YearsAhead | None, width: int, height: int) -> tuple[Line, ...]:
    """Return what upkeep comes, the most pressing first, for the opening screen."""
    now = view.now
    lines = [
        spread(
            line((f"{INSTALL.symbol} ", INSTALL.role), (tidy(title, 60), Role.STRONG)),
            line(("finished: 8, i", INSTALL.role)),
            width,
        )
        for _, title in finished_projects(view, care)
    ]
    coming = [(one, seen) for seen in care.pieces for one in seen.outlook.coming] if care else []
    days = {id(seen): today_of(seen.piece, now) for _, seen in coming}
    states = (OVERDUE, READY, SOON, HOLDS)
    ranked = sorted(
        coming,
        key=lambda pair: (
            states.index(state_of_coming(pair[0], days[id(pair[1])])),
            shown_day(pair[0], days[id(pair[1])]),
            pair[1].piece.name,
        ),
    )
    room = width - len(ONE_LINE) - 6 if height == 1 else width
    lines += [_bench_line(one, seen, days[id(seen)], room) for one, seen in ranked]
    if height == 1 and lines:
        rest = line((f" +{len(lines) - 1}", Role.QUIET)) if len(lines) > 1 else ()
        return (cut(line((ONE_LINE, Role.HEADING), *lines[0], *rest), width),)
    if len(lines) > height > 0:
        left = len(lines) - height + 1
        lines[height - 1 :] = [line((f"… {left} more (8 shows all)", Role.QUIET))]
    return tuple(cut(one, width) for one in lines)


def _bench_line(coming: Coming, seen: PieceSeen, today: dt.date, width: int) -> Line:
    state = state_of_coming(coming, today)
    word = WORKS[coming.work][1]
    left = line(
        (f"{state.symbol} ", state.role),
        (f"{word:<6}", Role.STRONG),
        (tidy(seen.piece.title, 60), Role.STRONG),
        (f", {tidy(seen.piece.place, 40)}", Role.PLAIN),
    )
    there = shown_day(coming, today)
    since = (
        f"{state.word} since " if state is OVERDUE else f"{state.word} " if state is READY else ""
    )
    return spread(left, line((since + day(there, today), state.role)), width)
