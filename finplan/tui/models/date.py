"""The date of a project in words: how sure it is, what it hangs on, what would bring it forward."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from finplan.planning.plan import days_to_spare, spare_said
from finplan.trade.moments import say_date, say_moment
from finplan.tui.models.forms import Field, Form, day_reader
from finplan.tui.models.paint import Line, Role, line, tidy, wrap
from finplan.tui.models.times import length, local

if TYPE_CHECKING:
    from zoneinfo import ZoneInfo

    from finplan.planning.doubt import Doubt
    from finplan.planning.hindered import TooLate
    from finplan.planning.plan import Deadline, ProjectReady
    from finplan.planning.ways_out import Way
    from finplan.services.chance import ChanceAnswer
    from finplan.services.levers import Levers

READY, BY, CHANCE, LEVERS = "When it is ready", "By the date", "How sure that is", "Sooner by"
DOUBT = "What makes it unsure"
PARTS = (READY, BY, CHANCE, LEVERS, DOUBT)
"""The parts of the sheet, in the order they are looked for."""

_TENTHS = ((0.1, "1 of 10"), (0.5, "half"), (0.9, "9 of 10"))
_SAME = dt.timedelta(minutes=1)


@dataclass(frozen=True, slots=True)
class Said:
    """One line or paragraph of a part: ``lead`` goes before it, and what follows stands behind."""

    text: str
    lead: str = ""
    role: Role = Role.PLAIN


Told = Mapping[str, Sequence[Said]]
"""What is known so far, by part."""


def date_lines(told: Told, width: int) -> tuple[Line, ...]:
    """Return the parts that are known; those still looked for say so."""
    lines: list[Line] = []
    for part in PARTS:
        said = told.get(part)
        if said is not None and not said:
            continue
        lines.append(line((part, Role.HEADING)))
        for one in said if said is not None else (Said("looking …", role=Role.QUIET),):
            lines += _wrapped(one, width)
        lines.append(())
    return tuple(lines[:-1])


def _wrapped(said: Said, width: int) -> Iterator[Line]:
    indent = " " * len(said.lead)
    for number, runs in enumerate(wrap(tidy(said.text), max(10, width - len(indent)), said.role)):
        yield line((said.lead if not number else indent, Role.STRONG), *runs)


def ready_part(ready: ProjectReady, words: str, zone: ZoneInfo) -> tuple[Said, ...]:
    """When a project is ready, against the day it is wanted by, and whether it could be sooner.

    Args:
        ready: when it is.
        words: whether any plan could be ready sooner, in sentences.
        zone: the zone times are told in.
    """
    told = [
        Said(say_moment(ready.safe, zone), "safe    "),
        Said(say_moment(ready.likely, zone), "likely  "),
    ]
    if ready.in_service_by is not None:
        days = days_to_spare(ready.safe, ready.in_service_by, zone)
        role = Role.BAD if days < 0 else Role.PLAIN
        wanted = f"{say_date(ready.in_service_by)}: {spare_said(days)}"
        told.append(Said(wanted, "wanted  ", role))
    return (*told, *((Said(words),) if words else ()))


def deadline_part(
    deadline: Deadline | None, late: TooLate | None, zone: ZoneInfo
) -> tuple[Said, ...]:
    """By when work has to begin for a date; or why it cannot be met, and what would meet it."""
    if late is None:
        return (Said(f"{deadline.said}."),) if deadline is not None else ()
    return tuple(_too_late(late, zone))


def _too_late(late: TooLate, zone: ZoneInfo) -> Iterator[Said]:
    from finplan.planning.hindered import NOT_ALL_DROPPED, frees, together, untried, when_ready

    ready = say_moment(late.ready, zone)
    yield Said(f"Not safely ready by {say_date(late.by)}, but on {ready}.", role=Role.BAD)
    for number, one in enumerate(late.hindrances):
        besides = "And besides: " if number else ""
        if one.fact:
            yield Said(f"{besides}{one.fact}.")
        if one.reasons:
            begin = f"{besides}since" if number else "Since"
            yield Said(f"{begin} {' and '.join(reason.said for reason in one.reasons)}.")
        if one.ways:
            begin = frees(one, number)
            yield Said(f"{begin[0].upper()}{begin[1:]}")
            yield from (_way(way, when_ready(one, way, ": ready {}", zone)) for way in one.ways)
        yield from (Said(sentence, role=Role.QUIET) for sentence in untried(one))
    yield from (Said(sentence, role=Role.QUIET) for sentence in together(late.hindrances))
    if late.drops:
        yield Said("Or, with all else as it is, any one of these:")
        yield from (_way_by(way, zone) for way in late.drops)
    elif late.closest is not None:
        yield Said("Nothing else meets the date; this comes closest:")
        yield _way_by(late.closest, zone)
    if not late.all_drops_tried:
        yield Said(NOT_ALL_DROPPED, role=Role.QUIET)


def _way_by(way: Way, zone: ZoneInfo) -> Said:
    return _way(way, f": ready {say_moment(way.ready, zone)}")


def _way(way: Way, ready: str) -> Said:
    from finplan.planning.hindered import in_full

    return Said(f"{in_full(way)}{ready}", "  · ")


def chance_part(found: ChanceAnswer) -> tuple[Said, ...]:
    """In how many of ten runs a project is ready by a date, and by when in one, five and nine."""
    from finplan.planning.chance_words import of_ten

    told = []
    if found.by is not None and found.share is not None:
        words = f"{of_ten(found.share)} such {found.seasons}"
        told.append(Said(f"Ready by {say_date(found.by)} in {words}.", role=Role.STRONG))
    if found.late is not None:
        start = say_moment(found.late.start, found.zone)
        told.append(Said(f"Begun only on {start}: in {of_ten(found.late.share)}."))
    for share, words in _TENTHS:
        at = found.chances.ready(found.project, share)
        when = say_date(at.astimezone(found.zone)) if at is not None else "not within a year"
        told.append(Said(when, f"{words:<8}by "))
    missed = found.chances.missed
    told.append(
        Said(
            f"From {found.chances.runs} plans drawn at random: how fast it dries, the weather, and "
            f"{missed.share:.0%} of work days missed ({missed.say()}).",
            role=Role.QUIET,
        )
    )
    return tuple(told)


def doubt_part(found: Doubt) -> tuple[Said, ...]:
    """How much of the doubt goes with each source held, a sentence each, what weighs most first."""
    from finplan.planning.chance_words import held_in_words

    return tuple(Said(held_in_words(one, found.drawn), "  · ") for one in found.held)


def levers_part(found: Levers) -> tuple[Said, ...]:
    """What would bring the date forward, the most first; then what would not, and what would harm.

    Dates are safe ones, for the project on its own.
    """
    from finplan.planning.levers import untried_in_words

    told = []
    for one in found.pulled.levers:
        if abs(one.gain) < _SAME:
            continue
        cost = f", {one.cost:+.2f} for the finish" if one.cost is not None else ""
        sooner = one.gain > dt.timedelta(0)
        lead = f"{length(one.gain)} {'sooner' if sooner else 'later'}"
        told.append(Said(f"{one.about}{cost}", f"{lead:<18}", Role.PLAIN if sooner else Role.QUIET))
    same = [one.about for one in found.pulled.levers if abs(one.gain) < _SAME]
    if same:
        told.append(Said("; ".join(same), f"{'no change':<18}", Role.QUIET))
    if untried := untried_in_words(found.pulled):
        told.append(Said(untried, role=Role.QUIET))
    if found.alone:
        told.append(Said("Reckoned with no other project beside it.", role=Role.QUIET))
    return tuple(told)


def date_form(project: str, by: dt.date | None, now: dt.datetime, zone: str) -> Form:
    """Ask for another date a project is to be ready by."""
    read = day_reader(now, zone, earliest=local(now, zone).date())
    field = Field("by", "Ready by", by.isoformat() if by else "", "2026-12-20 · fri", read)
    return Form(f"date:{project}", f"Ready by when: {tidy(project, 50)}", (field,), "Look")
