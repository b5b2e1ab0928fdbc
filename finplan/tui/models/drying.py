"""Bars that show how far a surface has dried, with a tick for each stage."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from finplan.tui.models.paint import Line, Role, Run, cut, fill, line, spread, tidy
from finplan.tui.models.times import short_moment, until
from finplan.tui.models.words import CLOSED, CLOSING, DRYING, STAGE_WORDS, load_name

if TYPE_CHECKING:
    from finplan.services.overview import DryingNow

FULL, PART, REST, TICK, TICK_PAST = "━", "╸", "─", "┼", "╋"
SOON = dt.timedelta(hours=24)


def share(drying: DryingNow, at: dt.datetime) -> float:
    """Return where ``at`` lies between the coat (0) and the safe end of the wait (1)."""
    if drying.safe is None or drying.safe <= drying.since:
        return 0.0
    return (at - drying.since) / (drying.safe - drying.since)


def bar(drying: DryingNow, now: dt.datetime, width: int) -> Line:
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
        if stage.safe is None or stage.stage is drying.until:
            continue
        spot = int(share(drying, stage.safe) * width)
        if 0 < spot < width:
            cells[spot] = TICK_PAST if spot < filled else TICK
    return line(
        ("".join(cells[:filled]), Role.GOOD if done >= 1 else Role.WET),
        ("".join(cells[filled:]), Role.QUIET),
    )


def stage_words(drying: DryingNow, now: dt.datetime, zone: str) -> Line:
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


def head(drying: DryingNow, now: dt.datetime, zone: str, width: int) -> Line:
    """Return who is drying, and until when: the safe time first, the likely one after it."""
    name = load_name(tidy(drying.batch, 30), drying.load, drying.loads)
    left = line(
        (f"{DRYING.symbol} ", DRYING.role),
        (name, Role.STRONG),
        (f"  {tidy(drying.title)}", Role.PLAIN),
    )
    word = STAGE_WORDS[drying.until]
    if drying.safe is None:
        return spread(left, line((f"{word}: not in this air", Role.BAD)), width)
    if drying.safe <= now:
        return spread(left, line((f"✓ {word}: safely dry", Role.GOOD)), width)
    right = [Run(f"{word} {short_moment(drying.safe, zone, now).strip()} safe", Role.STRONG)]
    right.append(Run(f", {until(drying.safe, now)}", Role.PLAIN))
    if drying.likely and width >= 76:
        likely = short_moment(drying.likely, zone, now).strip()
        right.append(Run(f" (likely {likely})", Role.QUIET))
    return spread(left, tuple(right), width)


def load_lines(
    drying: DryingNow, now: dt.datetime, zone: str, width: int, full: bool
) -> tuple[Line, ...]:
    """Return a load's lines: head and bar, and the stages in words where there is room."""
    percent = f" {min(max(drying.fraction, 0.0), 1.0) * 100:3.0f} %"
    gauge = line("  ", *bar(drying, now, max(width - 2 - len(percent), 4)), (percent, Role.PLAIN))
    lines = [head(drying, now, zone, width), gauge]
    if full:
        lines.append(cut(line("  ", *stage_words(drying, now, zone)), width))
    return tuple(lines)


def drying_lines(
    loads: tuple[DryingNow, ...], now: dt.datetime, zone: str, width: int, height: int
) -> tuple[Line, ...]:
    """Return the drying panel; loads beyond the room are counted, never left out silently."""
    if not loads:
        return (line(("Nothing is drying.", Role.QUIET)),)
    each = 3 if height >= 3 * len(loads) else 2
    if height < each * len(loads):
        short = [_short(item, now, zone, width) for item in loads]
        if len(short) > height:
            left = len(short) - height + 1
            short[max(height - 1, 0) :] = [line((f"… {left} more loads (scroll)", Role.QUIET))]
        return tuple(short)
    lines: list[Line] = []
    for item in loads:
        lines += load_lines(item, now, zone, width, each == 3)
    return tuple(lines)


def _short(drying: DryingNow, now: dt.datetime, zone: str, width: int) -> Line:
    """One line for a load: a bar of twelve cells before its head."""
    return line(*bar(drying, now, 12), " ", *head(drying, now, zone, width - 13))


def window_state(closes: dt.datetime, now: dt.datetime) -> tuple[str, str, Role]:
    """Return symbol, word and role of a recoat window that closes at ``closes``."""
    if closes <= now:
        return CLOSED.symbol, "closed: scuff before the next coat", CLOSED.role
    if closes - now < SOON:
        return CLOSING.symbol, "closes soon", CLOSING.role
    return "◇", fill("open", 4), Role.GOOD
