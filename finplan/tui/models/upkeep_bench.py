"""What upkeep comes, for the opening screen."""

from __future__ import annotations

from dataclasses import dataclass
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
from finplan.tui.models.words import OVERDUE, READY, SOON, State

if TYPE_CHECKING:
    from finplan.services.upkeep import PieceSeen
    from finplan.tracking.upkeep.cycle import Coming
    from finplan.tui.models.cared import Care

ONE_LINE = "Upkeep  "
"""Stands before the one line that a small bench has room for."""


@dataclass(frozen=True, slots=True)
class Pending:
    """What there is to do in upkeep: finished projects by title, and work, most pressing first."""

    finished: tuple[str, ...] = ()
    work: tuple[tuple[State, Coming, PieceSeen], ...] = ()


def pending(view: View, care: Care | None) -> Pending:
    """Return what upkeep comes on all pieces."""
    states = (OVERDUE, READY, SOON, HOLDS)
    work = [
        (state_of_coming(coming, today), coming, seen, shown_day(coming, today))
        for seen in (care.pieces if care else ())
        for today in [today_of(seen.piece, view.now)]
        for coming in seen.outlook.coming
    ]
    work.sort(key=lambda one: (states.index(one[0]), one[3], one[2].piece.name))
    finished = tuple(title for _, title in finished_projects(view, care))
    return Pending(finished, tuple(one[:3] for one in work))


def bench_lines(view: View, some: Pending, width: int, height: int) -> tuple[Line, ...]:
    """Return what upkeep comes for the opening screen; where it is one line, with its heading."""
    count = len(some.finished) + len(some.work)
    if not count:
        return ()
    single = height == 1
    room = width - len(ONE_LINE) - 6 if single else width
    shown = count if count <= height else max(height - 1, 1)
    lines = [_finished_line(title, room) for title in some.finished[:shown]]
    lines += [_work_line(view, *one, room) for one in some.work[: shown - len(lines)]]
    if single:
        rest = line((f" +{count - 1}", Role.QUIET)) if count > 1 else ()
        lines = [line((ONE_LINE, Role.HEADING), *lines[0], *rest)]
    elif shown < count:
        lines.append(line((f"… {count - shown} more (8 shows all)", Role.QUIET)))
    return tuple(cut(one, width) for one in lines)


def _finished_line(title: str, width: int) -> Line:
    left = line((f"{INSTALL.symbol} ", INSTALL.role), (tidy(title, 60), Role.STRONG))
    return spread(left, line(("finished: 8, i", INSTALL.role)), width)


def _work_line(view: View, state: State, coming: Coming, seen: PieceSeen, width: int) -> Line:
    today = today_of(seen.piece, view.now)
    left = line(
        (f"{state.symbol} ", state.role),
        (f"{WORKS[coming.work][1]:<6}", Role.STRONG),
        (tidy(seen.piece.title, 60), Role.STRONG),
        (f", {tidy(seen.piece.place, 40)}", Role.PLAIN),
    )
    since = {OVERDUE: "overdue since ", READY: "now "}.get(state, "")
    there = day(shown_day(coming, today), today)
    return spread(left, line((since + there, state.role)), width)
