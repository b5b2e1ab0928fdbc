"""Pieces in use: how they stand, what comes next and why, and what was done to them."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from finplan.tracking.upkeep.pieces import (
    DROPS_FIRST,
    NEW_FINISH,
    InstalledPiece,
    Work,
    standing,
)
from finplan.trade.moments import MONTHS, say_date
from finplan.trade.names import counted
from finplan.tui.models.paint import Line, Role, Run, line, spread, text_of, tidy, width_of, wrap
from finplan.tui.models.table import Cell, Column, Row, Table, with_area_unit
from finplan.tui.models.times import date, local
from finplan.tui.models.view import View
from finplan.tui.models.words import OVERDUE, READY, SOON, State

if TYPE_CHECKING:
    from finplan.services.upkeep import PieceSeen
    from finplan.tracking.upkeep.cycle import Coming
    from finplan.tracking.upkeep.window import Window
    from finplan.tui.models.cared import Care
    from finplan.tui.shop_upkeep import Downtime

SOON_DAYS = 30
"""Work within so many days is said to come soon; our own choice."""

HOLDS = State("✓", "holds", Role.GOOD)
LOOK = State("▲", "see to it", Role.WATCH)
INSTALL = State("▣", "install", Role.WORK)

WORKS: dict[Work, tuple[str, str, Role]] = {
    Work.RENEWAL: ("●", "renew", Role.WET),
    Work.CLEANING: ("∿", "clean", Role.WORK),
    Work.INSPECTION: ("◇", "look", Role.PLAIN),
}
"""Symbol, word and role of each work."""

FINISHED = "finished"
"""The state of a project with nothing left to do."""

PROJECT = "project:"
"""Begins the key of a row that is a finished project and no piece yet."""

PIECE_COLUMNS = (
    Column("state", 11),
    Column("piece", 24, grow=3),
    Column("place", 10),
    Column("finish", 8, grow=1, drop=4),
    Column("renewed", 8, drop=1),
    Column("next", 17),
    Column("renew", 11, drop=2),
    Column("m²", 4, right=True, drop=3),
)

EXPLAINED = "i installs a piece: a finished project, or one that is there already."

NOTHING = "No piece is in use yet: i installs one."


def today_of(piece: InstalledPiece, now: dt.datetime) -> dt.date:
    """Return the day it is where a piece stands."""
    return local(now, piece.zone).date()


def is_late(coming: Coming, today: dt.date) -> bool:
    """Whether the day of a work has passed and no wished day is still to come."""
    return coming.on == today and coming.due < today


def soonest(seen: PieceSeen) -> Coming:
    """Return what comes first."""
    order = list(WORKS)
    return min(seen.outlook.coming, key=lambda one: (one.on, one.due, order.index(one.work)))


def state_of_coming(coming: Coming, today: dt.date) -> State:
    """Return how one work of a piece stands."""
    if is_late(coming, today):
        return OVERDUE
    if coming.on <= today:
        return READY
    return SOON if (coming.on - today).days <= SOON_DAYS else HOLDS


def state_of_piece(seen: PieceSeen, now: dt.datetime) -> State:
    """Return how a piece stands: its most pressing work, or what was found and is still so."""
    state = state_of_coming(soonest(seen), today_of(seen.piece, now))
    return LOOK if state in (SOON, HOLDS) and seen.outlook.advice else state


def pressing(care: Care, now: dt.datetime) -> tuple[PieceSeen, ...]:
    """Return the pieces, the most pressing first."""
    order = (OVERDUE, READY, LOOK, SOON, HOLDS)

    def rank(seen: PieceSeen) -> tuple[int, dt.date, str]:
        first = soonest(seen)
        return order.index(state_of_piece(seen, now)), min(first.on, first.due), seen.piece.name

    return tuple(sorted(care.pieces, key=rank))


def finished_projects(view: View, care: Care | None) -> tuple[tuple[str, str], ...]:
    """Return name and title of the finished projects that are neither installed nor renewals."""
    if view.overview is None or view.planned is None:
        return ()
    installed = {seen.piece.name for seen in care.every} if care else set()
    renewals = {one.name for one in view.projects if one.renews is not None}
    return tuple(
        (one.name, one.title)
        for one in view.overview.projects
        if one.state == FINISHED and one.name not in installed | renewals
    )


def piece_table(view: View, care: Care | None) -> Table:
    """Return finished projects to install, then the pieces, the most pressing first.

    A row's key is the piece's name, or that of the project behind ``PROJECT``.
    """
    rows = [
        Row(
            PROJECT + name,
            (
                Cell(INSTALL.text, INSTALL.role),
                Cell(title, Role.STRONG),
                Cell("finished: i puts it into use", Role.QUIET),
                *(Cell("") for _ in PIECE_COLUMNS[3:]),
            ),
        )
        for name, title in finished_projects(view, care)
    ]
    if care is not None:
        rows += [_piece_row(seen, view) for seen in pressing(care, view.now)]
    columns = with_area_unit(PIECE_COLUMNS, view.measures.area_unit)
    return Table(columns, tuple(rows), empty=NOTHING)


def _piece_row(seen: PieceSeen, view: View) -> Row:
    piece, today = seen.piece, today_of(seen.piece, view.now)
    state, first = state_of_piece(seen, view.now), soonest(seen)
    renewal = seen.outlook.next(Work.RENEWAL)
    role = state.role if state in (OVERDUE, READY, SOON) else Role.PLAIN
    return Row(
        piece.name,
        (
            Cell(state.text, state.role),
            Cell(piece.title, Role.STRONG),
            Cell(piece.place),
            Cell(piece.finish, Role.QUIET),
            Cell(month_year(last_new(seen))),
            Cell(f"{WORKS[first.work][1]} {day(shown_day(first, today), today)}", role),
            Cell(day(renewal.on, today)),
            Cell(view.measures.bare_area(piece.area_m2), Role.QUIET),
        ),
    )


def shown_day(coming: Coming, today: dt.date) -> dt.date:
    """Return the day to show for a work: since when where it is late, else when it comes."""
    return coming.due if is_late(coming, today) else coming.on


def last_new(seen: PieceSeen) -> dt.date:
    """Return the day the finish was new last."""
    piece = seen.piece
    renewed = [
        local(entry.at, piece.zone).date()
        for entry in standing(seen.entries)
        if entry.kind in NEW_FINISH
    ]
    return max([piece.installed, *renewed])


def month_year(there: dt.date) -> str:
    """Return e.g. ``May 2027``."""
    return f"{MONTHS[there.month - 1]} {there.year}"


def day(there: dt.date, today: dt.date) -> str:
    """Return e.g. ``12 May``, with the year where it is another one: ``3 May 2028``."""
    short = f"{there.day} {MONTHS[there.month - 1]}"
    return short if there.year == today.year else f"{short} {there.year}"


def piece_lines(
    view: View,
    seen: PieceSeen | None,
    downtime: Downtime | None,
    width: int,
    height: int,
) -> tuple[Line, ...]:
    """Return why a piece is due when it is, its downtime, what to mind, and what it is."""
    if seen is None:
        return wrap(EXPLAINED, width, Role.QUIET)
    today = today_of(seen.piece, view.now)
    lines = [*renewal_lines(seen.outlook.next(Work.RENEWAL), today, width)]
    regular = [_regular_runs(seen.outlook.next(work), today) for work in list(WORKS)[1:]]
    beside = line(*regular[0], "   ", *regular[1])
    lines += [beside] if width_of(beside) <= width else regular
    for advice in seen.outlook.advice:
        lines += wrap(f"▲ {sentence(advice)}", width, Role.WATCH)
    lines += downtime_lines(view, seen, downtime, width)
    lines += blocked_lines(seen.piece, today, width)
    lines += _fact_lines(seen, view, width)
    if len(lines) > height > 0:
        last = spread(lines[height - 1], line(("… v shows all", Role.QUIET)), width)
        lines[height - 1 :] = [last]
    return tuple(lines)


def renewal_lines(coming: Coming, today: dt.date, width: int) -> tuple[Line, ...]:
    """Return the day of the renewal and why it is that day."""
    symbol, word, role = WORKS[coming.work]
    state = state_of_coming(coming, today)
    when = f"{date(coming.on)} {coming.on.year}"
    mark = f" {state.text}." if state in (OVERDUE, READY, SOON) else ""
    heads = (Run(f"{symbol} {word} ", role), Run(f"{when}.", Role.STRONG), Run(mark, state.role))
    head = line(*heads)
    whole = wrap(f"{text_of(head)} {sentence(coming.sentence)}", width)
    first = text_of(whole[0])
    if not first.startswith(text_of(head)):
        return whole
    return (line(*head, first[len(text_of(head)) :]), *whole[1:])


def _regular_runs(coming: Coming, today: dt.date) -> Line:
    symbol, word, role = WORKS[coming.work]
    state = state_of_coming(coming, today)
    when = f"{date(coming.on)} {coming.on.year}"
    mark = f" {state.text}" if state in (OVERDUE, READY, SOON) else ""
    return line((f"{symbol} {word} ", role), (when, Role.STRONG), (mark, state.role))


def downtime_lines(
    view: View, seen: PieceSeen, downtime: Downtime | None, width: int
) -> tuple[Line, ...]:
    """Return when the piece is out of use for its renewal, and whether that is too long.

    Args:
        view: the units asked for.
        seen: the piece.
        downtime: the best or the planned time, or why there is none; None while it is looked for.
        width: cells of room.
    """
    from finplan.tracking.upkeep.window import Window, rain_words, why_window

    usual = f"about {seen.effort.out_hours / 24:.1f} days at {view.measures.limit(23)} and 50 %"
    if downtime is None:
        return wrap(f"Out of use for {usual}.", width)
    window, project = downtime.window, downtime.project
    if not isinstance(window, Window):
        words = f"▲ No best time for the renewal: {tidy(window.sentence)}. It takes {usual}."
        return wrap(words, width, Role.WATCH)
    zone = seen.piece.zone
    lead = f"Planned as {tidy(project)}" if project else "The best time"
    lines = [
        *wrap(f"■ Out of use {stretch_words(window, zone)}, safe.", width, Role.STRONG),
        *wrap(f"{lead}: {tidy(why_window(window, zone))}. Usual: {usual}.", width, Role.QUIET),
    ]
    rain = rain_words(seen.piece)
    if not project and rain:
        lines += wrap(f"▲ {rain}", width, Role.WATCH)
    if window.too_long:
        days = seen.piece.may_be_out_hours / 24
        lines += wrap(f"▲ It may be out of use for {days:.1f} days only.", width, Role.WATCH)
    return tuple(lines)


def stretch_words(window: Window, zone: str) -> str:
    """Return a downtime; the year of its end shows only where it is another one."""
    start, end = local(window.start, zone), local(window.end, zone)
    until = date(end.date(), start.year)
    return f"{date(start.date())} {start.year} {start:%H:%M} to {until} {end:%H:%M}"


def sentence(words: str) -> str:
    """Return words with a capital at the beginning and a full stop at the end."""
    return f"{words[:1].upper()}{tidy(words[1:])}."


def blocked_lines(piece: InstalledPiece, today: dt.date, width: int) -> tuple[Line, ...]:
    """Return the days to come on which nothing may be done."""
    told = [
        f"{day(one.first, today)} to {day(one.last, today)}" + (f" ({one.why})" if one.why else "")
        for one in sorted(piece.blocked, key=lambda one: one.first)
        if one.last >= today
    ]
    return wrap(tidy(f"■ No work: {', '.join(told)}."), width) if told else ()


def _fact_lines(seen: PieceSeen, view: View, width: int) -> tuple[Line, ...]:
    piece, usual, measures = seen.piece, seen.outlook.default_months, view.measures
    coats = counted(piece.coats, "coat")
    takes = measures.volume(seen.effort.litres)
    cost = f" and costs about {seen.effort.cost:.2f}" if seen.effort.cost is not None else ""
    facts = [
        f"{seen.finish.title}, {coats}, {measures.area(piece.area_m2)}; "
        f"a renewal takes {takes}{cost}.",
        f"{exposure_words(piece)}; in use since {say_date(piece.installed)}.",
        f"Usual there: {usual.low:.0f} to {usual.high:.0f} months; "
        f"here {seen.outlook.interval_months:.0f} by what was found.",
    ]
    if seen.outlook.others:
        facts.append(f"{sentence(seen.outlook.others)}")
    if not piece.renew_rule:
        facts.append(sentence(DROPS_FIRST))
    if piece.wood:
        thick = measures.bare_length(piece.thickness_mm)
        facts.append(f"{piece.wood.capitalize()}, {thick} {measures.length_unit} thick.")
    if piece.zone != view.zone:
        facts.append(f"Days and hours are those of {piece.zone}.")
    if piece.taken_up:
        facts.append(f"Taken up: {piece.taken_up}.")
    if piece.season:
        facts.append(f"Wished in {', '.join(MONTHS[month - 1] for month in piece.season)}.")
    if piece.invented:
        facts.append("An invented sample.")
    return tuple(one for fact in facts for one in wrap(tidy(fact), width, Role.QUIET))


def exposure_words(piece: InstalledPiece) -> str:
    """Return what a piece has to bear."""
    return (", ".join(sorted(piece.exposures)) or "upright in full weather").capitalize()
