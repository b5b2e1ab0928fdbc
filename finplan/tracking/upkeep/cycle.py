"""When a piece is due: inspection, cleaning, renewal; counted from the day last done."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from finplan.tracking.upkeep.days import best_day, fits, next_day
from finplan.tracking.upkeep.life import (
    Bounds,
    LifeBelief,
    Look,
    bounds_of,
    learn,
    price_months,
    renewal_age,
)
from finplan.tracking.upkeep.pieces import (
    NEW_FINISH,
    Finding,
    InstalledPiece,
    UpkeepEntry,
    UpkeepKind,
    Work,
    standing,
    taken_out,
)
from finplan.tracking.upkeep.together import Others, Taught, teach
from finplan.trade.moments import MONTHS, find_zone, say_date
from finplan.trade.names import counted
from finplan.trade.numbers import Span
from finplan.trade.upkeep import UpkeepDefaults

MONTH_DAYS = 365.2425 / 12.0


@dataclass(frozen=True, slots=True)
class Coming:
    """What comes next: ``due`` by its interval, ``on`` the wished day nearest to it."""

    work: Work
    due: dt.date
    on: dt.date
    sentence: str


@dataclass(frozen=True, slots=True)
class Outlook:
    """What a piece's log says: its lives so far, and what comes next of each work.

    ``default_months``: the interval before anything was seen. ``interval_months``: from one
    renewal to the next as known now. ``others``: what the other pieces of this finish under these
    exposures teach, '' where they teach nothing or the cycle is fixed. Nothing is coming once a
    piece is out of use.
    """

    piece: InstalledPiece
    default_months: Span
    interval_months: float
    coming: tuple[Coming, ...]
    advice: tuple[str, ...]
    others: str = ""

    def next(self, work: Work) -> Coming:
        """Return what comes next of a work."""
        return next(one for one in self.coming if one.work is work)


@dataclass(frozen=True, slots=True)
class _Coat:
    new: dt.date
    looks: tuple[Look, ...]


def fixed_rule(piece: InstalledPiece, work: Work) -> str:
    """Return the rule a person fixed a work by, '' where its interval follows what is found."""
    return {
        Work.RENEWAL: piece.renew_rule,
        Work.CLEANING: piece.clean_rule,
        Work.INSPECTION: piece.inspect_rule,
    }[work]


def outlook(
    piece: InstalledPiece,
    entries: tuple[UpkeepEntry, ...],
    default_months: Span,
    defaults: UpkeepDefaults,
    now: dt.datetime,
    taught: Taught | None = None,
) -> Outlook:
    """Return when a piece is due, from what was found and done.

    Args:
        piece: the piece.
        entries: its whole log.
        default_months: the renewal interval of its finish under its exposures.
        defaults: how often to look and to clean.
        now: the present, aware.
        taught: what pieces of its finish under its exposures teach, itself among them; None where
            it is alone.
    """
    kept = standing(entries)
    today = now.astimezone(find_zone(piece.zone)).date()
    coats = _coats(piece, kept)
    bounds = [bounds_of(coat.looks) for coat in coats]
    taught = taught or teach(default_months, [bounds])
    others = taught.others(bounds)
    belief = learn(default_months, bounds[:-1], others.before)
    price = price_months(default_months, taught.dearer)
    known = learn(default_months, bounds, others.before)
    interval = _interval(piece, known, coats[-1].new, price)
    clean, inspect = defaults.clean_share.value, defaults.inspect_share.value
    coming = (
        _renewal(piece, _renewal_day(piece, belief, coats[-1], price), coats[-1], today, others),
        _regular(piece, kept, (Work.CLEANING, interval * clean, piece.clean_rule), today),
        _regular(piece, kept, (Work.INSPECTION, interval * inspect, piece.inspect_rule), today),
    )
    if taken_out(entries) is not None:
        return Outlook(piece, default_months, interval, (), ())
    told = "" if piece.renew_rule else _others(others, default_months)
    return Outlook(piece, default_months, interval, coming, _advice(coats[-1]), told)


def _coats(piece: InstalledPiece, entries: Sequence[UpkeepEntry]) -> list[_Coat]:
    coats = [_Coat(piece.installed, ())]
    for entry in entries:
        day = _day(piece, entry)
        last = coats[-1]
        if entry.findings:
            look = Look((day - last.new).days / MONTH_DAYS, entry.findings)
            coats[-1] = last = _Coat(last.new, (*last.looks, look))
        if entry.kind in NEW_FINISH:
            coats.append(_Coat(day, ()))
    return coats


def coat_bounds(piece: InstalledPiece, entries: tuple[UpkeepEntry, ...]) -> tuple[Bounds, ...]:
    """Return what is known of the life of each coat of a piece, the standing one last."""
    return tuple(bounds_of(coat.looks) for coat in _coats(piece, standing(entries)))


def _interval(piece: InstalledPiece, belief: LifeBelief, new: dt.date, price: float) -> float:
    if piece.renew_rule:
        return (next_day(piece.renew_rule, new) - new).days / MONTH_DAYS
    return renewal_age(belief, Bounds(), price)


def _renewal_day(piece: InstalledPiece, belief: LifeBelief, coat: _Coat, price: float) -> dt.date:
    if piece.renew_rule:
        return next_day(piece.renew_rule, coat.new)
    return _after(coat.new, renewal_age(belief, bounds_of(coat.looks), price))


def _renewal(
    piece: InstalledPiece, due: dt.date, coat: _Coat, today: dt.date, others: Others
) -> Coming:
    why = "by its fixed cycle" if piece.renew_rule else _seen(coat, others)
    on = best_day(piece, due, today)
    months_on = round((on - coat.new).days / MONTH_DAYS)
    moved = ""
    if due < today:
        moved = f"; it was due on {say_date(due)}"
    elif on < due and not fits(piece, due):
        moved = f"; brought forward from {say_date(due)}, which is out of season or blocked"
    sentence = (
        f"next renewal in {MONTHS[on.month - 1]} {on.year}, "
        f"{counted(months_on, 'month')} after the last: {why}{moved}"
    )
    return Coming(Work.RENEWAL, due, on, sentence)


def _regular(
    piece: InstalledPiece,
    entries: Sequence[UpkeepEntry],
    wanted: tuple[Work, float, str],
    today: dt.date,
) -> Coming:
    """Return the next look or cleaning; a new finish has been cleaned and looked at."""
    work, months, rule = wanted
    kind = UpkeepKind.INSPECTED if work is Work.INSPECTION else UpkeepKind.CLEANED
    counted = NEW_FINISH | {kind}
    done = max(
        [piece.installed, *(_day(piece, entry) for entry in entries if entry.kind in counted)]
    )
    due = next_day(rule, done) if rule else _after(done, months)
    soonest = max(today, done + (due - done) / 2)
    on = max(due, today) if rule else best_day(piece, due, soonest)
    days = (on - done).days
    return Coming(work, due, on, f"{days} days after it was last done, on {say_date(done)}")


def _seen(coat: _Coat, others: Others) -> str:
    if not coat.looks:
        here = ", others here" if others.count else ""
        return f"nothing was looked at since, so earlier coats{here} and the usual interval tell"
    last = coat.looks[-1]
    told = {
        Finding.BEADS: "beads still held",
        Finding.SLOW: "water was taken up slowly",
        Finding.SOAKS_IN: "water soaked in",
        Finding.GREYING: "the wood greyed",
        Finding.BARE: "there were bare spots",
        Finding.MILDEW: "there was mildew",
        Finding.STICKY: "the film was sticky",
    }
    words = " and ".join(told[finding] for finding in last.findings)
    months = round(last.age_months)
    return f"{words} at {counted(months, 'month')}"


def _others(others: Others, default_months: Span) -> str:
    if not others.count:
        return ""
    lasts = f"{others.months:.0f} months where {default_months.middle:.0f} are usual"
    if others.count == 1:
        return f"the other piece here with this finish and exposure lasts about {lasts}"
    return f"{others.count} other pieces here with this finish and exposure last about {lasts}"


def _advice(coat: _Coat) -> tuple[str, ...]:
    found = set(coat.looks[-1].findings) if coat.looks else set()
    advice = []
    if Finding.MILDEW in found:
        advice.append("mildew: clean it off and let the wood dry before any new finish")
    if Finding.STICKY in found:
        advice.append(
            "sticky film: too much finish was left standing; take it off, never put more on it"
        )
    if Finding.BARE in found or Finding.GREYING in found:
        advice.append("bare or grey wood: sand it lightly to sound wood before the renewal coat")
    return tuple(advice)


def _after(day: dt.date, months: float) -> dt.date:
    return day + dt.timedelta(days=round(months * MONTH_DAYS))


def _day(piece: InstalledPiece, entry: UpkeepEntry) -> dt.date:
    return entry.at.astimezone(find_zone(piece.zone)).date()
