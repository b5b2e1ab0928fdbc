"""Bars that show how far a surface has dried, with a tick for each stage."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from finplan.trade.finishes import Stage
from finplan.tui.models.paint import Line, Role, Run, cut, line, spread, tidy
from finplan.tui.models.times import short_moment, until
from finplan.tui.models.words import DRYING, STAGE_WORDS, load_name

if TYPE_CHECKING:
    from finplan.tracking.drying_now import Drying

FULL, PART, REST, TICK, TICK_PAST = "━", "╸", "─", "┼", "╋"


def share(drying: Drying, at: dt.datetime) -> float:
    """Return where ``at`` lies between the coat (0) and the safe end of the wait (1)."""
    if drying.safe is None or drying.safe <= drying.ended:
        return 0.0
    return (at - drying.ended) / (drying.safe - drying.ended)


def bar(drying: Drying, now: dt.datetime, width: int) -> Line:
    """Return the bar: dried so far, still to go, a tick where each stage is safely reached.

    The bar runs over clock time from the end of the coat to the safe end of the wait; the
    ``┊`` marks the likely end.
    """
    cells = [REST] * width
    done = min(max(share(drying, now), 0.0), 1.0)
    filled = int(done * width)
    for index in range(filled):
        cells[index] = FULL
    if filled < width and done > 0:
        cells[filled] = PART
    if drying.likely is not None:
        spot = int(share(drying, drying.likely) * width)
        if filled < spot < width:
            cells[spot] = "┊"
    for stage in drying.stages:
        if stage.safe is None or stage.stage is drying.goal:
            continue
        spot = int(share(drying, stage.safe) * width)
        if 0 < spot < width:
            cells[spot] = TICK_PAST if spot < filled else TICK
    return line(
        ("".join(cells[:filled]), Role.GOOD if done >= 1 else Role.WET),
        ("".join(cells[filled:]), Role.QUIET),
    )


def stage_words(drying: Drying, now: dt.datetime, zone: str) -> Line:
    """Return the stages in order, each reached or with the safe time it will be."""
    runs: list[Run] = []
    for stage in drying.stages:
        if stage.safe is None:
            continue
        word = STAGE_WORDS[stage.stage]
        if runs:
            runs.append(Run(" · ", Role.QUIET))
        if stage.stage in drying.reached or stage.safe <= now:
            runs.append(Run(f"{word} ✓", Role.GOOD))
        else:
            runs.append(Run(f"{word} {short_moment(stage.safe, zone, now).strip()}", Role.QUIET))
    return tuple(runs)


def head(drying: Drying, now: dt.datetime, zone: str, width: int) -> Line:
    """Return who is drying, and until when: the safe time first, the likely one after it."""
    name = load_name(tidy(drying.batch, 30), drying.load, drying.loads)
    left = line(
        (f"{DRYING.symbol} ", DRYING.role),
        (name, Role.STRONG),
        (f"  {wet_title(drying)}", Role.PLAIN),
    )
    word = STAGE_WORDS[drying.goal]
    if drying.safe is None:
        return spread(left, line((f"{word}: not in this air", Role.BAD)), width)
    right = [Run(f"{word} {short_moment(drying.safe, zone, now).strip()} safe", Role.STRONG)]
    right.append(Run(f", {until(drying.safe, now)}", Role.PLAIN))
    if drying.likely and width >= 76:
        likely = short_moment(drying.likely, zone, now).strip()
        right.append(Run(f" (likely {likely})", Role.QUIET))
    return spread(left, tuple(right), width)


def load_lines(
    drying: Drying, now: dt.datetime, zone: str, width: int, full: bool
) -> tuple[Line, ...]:
    """Return a load's lines: head and bar, and the stages in words where there is room."""
    percent = f" {drying.safe_share * 100:3.0f} %"
    gauge = line("  ", *bar(drying, now, max(width - 2 - len(percent), 4)), (percent, Role.PLAIN))
    lines = [head(drying, now, zone, width), gauge]
    if full:
        lines.append(cut(line("  ", *stage_words(drying, now, zone)), width))
    return tuple(lines)


def drying_lines(
    loads: tuple[Drying, ...], now: dt.datetime, zone: str, width: int, height: int
) -> tuple[Line, ...]:
    """Return the drying panel; loads beyond the room are counted, never left out silently."""
    if not loads:
        return (line(("Nothing is drying.", Role.QUIET)),)
    wet = sorted((one for one in loads if not is_ready(one, now)), key=_soonest)
    dry = [one for one in loads if is_ready(one, now)]
    lines = list(_wet_lines(wet, now, zone, width, height - len(dry)))
    lines += [_ready_line(one, now, zone, width) for one in dry]
    if len(lines) > height:
        left = len(lines) - height + 1
        lines[max(height - 1, 0) :] = [line((f"… {left} more lines (v shows all)", Role.QUIET))]
    return tuple(lines)


def is_ready(drying: Drying, now: dt.datetime) -> bool:
    """Whether the surface has safely reached what the next step waits for."""
    return drying.safe is not None and drying.safe <= now


def _soonest(drying: Drying) -> dt.datetime:
    return drying.safe or dt.datetime.max.replace(tzinfo=dt.UTC)


def _ready_line(drying: Drying, now: dt.datetime, zone: str, width: int) -> Line:
    """One line for a surface on which work may go on."""
    name = load_name(tidy(drying.batch, 30), drying.load, drying.loads)
    word = STAGE_WORDS[drying.goal]
    left = line(("✓ ", Role.GOOD), (name, Role.STRONG), f"  {wet_title(drying)}")
    right = [Run(f"{word}: safely dry", Role.GOOD)]
    cured = next((one for one in drying.stages if one.stage is Stage.FULL_CURE), None)
    if cured and cured.safe and cured.safe > now and width >= 60:
        when = short_moment(cured.safe, zone, now).strip().rsplit(" ", 1)[0]
        right.append(Run(f" · cured {when}", Role.QUIET))
    return spread(left, tuple(right), width)


def wet_title(drying: Drying) -> str:
    """Return the coat in few words: the title up to the finish and the side."""
    title = tidy(drying.title)
    side = next((f", {word}" for word in ("first side", "second side") if word in title), "")
    return title.split(", by ")[0] + side if ", by " in title else title


def _wet_lines(
    loads: list[Drying], now: dt.datetime, zone: str, width: int, height: int
) -> tuple[Line, ...]:
    """Return the lines of loads that still dry, as full as the height allows."""
    each = 3 if height >= 3 * len(loads) else 2
    if height < each * len(loads):
        return tuple(_short(item, now, zone, width) for item in loads)
    lines: list[Line] = []
    for item in loads:
        lines += load_lines(item, now, zone, width, each == 3)
    return tuple(lines)


def _short(drying: Drying, now: dt.datetime, zone: str, width: int) -> Line:
    """One line for a load: a bar of twelve cells before its head."""
    return line(*bar(drying, now, 12), " ", *head(drying, now, zone, width - 13))
