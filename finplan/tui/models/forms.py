"""Forms as data: fields, how each is read, and what was understood."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from finplan.trade.errors import BadInput
from finplan.tui.models.measures import Measures
from finplan.tui.models.paint import Line, tidy
from finplan.tui.models.times import date, local, until

Understood = tuple[object, str]
"""A value, and the words that say how it was read."""

Reader = Callable[[str], Understood]


@dataclass(frozen=True, slots=True)
class Field:
    """One question.

    ``read`` turns the text into a value and an echo, or raises BadInput. With ``choices``
    (value, word) the answer is picked, not typed, and ``initial`` is a value. A ``wide`` one takes
    the whole width, with its echo below.
    """

    key: str
    label: str
    initial: str = ""
    hint: str = ""
    read: Callable[[str], Understood] = field(default=lambda text: (text.strip(), ""))
    choices: tuple[tuple[str, str], ...] = ()
    wide: bool = False


@dataclass(frozen=True, slots=True)
class Form:
    """Questions asked together.

    ``key`` names its draft; ``lines`` stand above the fields. ``check`` refuses values, by
    BadInput, that can be read one by one but not be so together.
    """

    key: str
    title: str
    fields: tuple[Field, ...]
    confirm: str = "Record"
    lines: tuple[Line, ...] = ()
    cautions: tuple[str, ...] = ()
    check: Callable[[Mapping[str, object]], None] | None = None


@dataclass(frozen=True, slots=True)
class Answer:
    """What the texts of a form mean: values, echoes and faults by key, the fault of the whole."""

    values: Mapping[str, object]
    echoes: Mapping[str, str]
    faults: Mapping[str, str]
    together: str = ""


def answer(form: Form, texts: Mapping[str, str]) -> Answer:
    """Read every field; a fault in one leaves the others readable."""
    values: dict[str, object] = {}
    echoes: dict[str, str] = {}
    faults: dict[str, str] = {}
    for one in form.fields:
        text = texts.get(one.key, one.initial)
        try:
            values[one.key], echoes[one.key] = one.read(text)
        except BadInput as fault:
            faults[one.key] = tidy(fault.what)
    return Answer(values, echoes, faults, "" if faults else _together(form, values))


def _together(form: Form, values: Mapping[str, object]) -> str:
    if form.check is not None:
        try:
            form.check(values)
        except BadInput as fault:
            return tidy(fault.what)
    return ""


def echo_moment(at: dt.datetime, zone: str, now: dt.datetime) -> str:
    """Return how a moment was understood: weekday, date, time, and how far from now."""
    there = local(at, zone)
    return f"= {date(there.date())} {there.year} {there:%H:%M} ({until(at, now)})"


def moment_reader(
    now: dt.datetime, zone: str, *, needed: bool, past: bool = True, empty: str = "not noted"
) -> Callable[[str], Understood]:
    """Return a reader of moments: ``today 18:00``, ``fri``, ``-2h``, an ISO time.

    ``past``: it is told of what happened, so that ``fri`` is the last one. ``empty`` is what an
    empty text means, in words.
    """

    def read(text: str) -> Understood:
        from finplan.trade.moments import parse_moment

        if not text.strip():
            if needed:
                raise BadInput("no time given: write one like now, today 18:00 or -2h")
            return None, empty
        if text.strip().casefold() == "now":
            return now, echo_moment(now, zone, now)
        at = parse_moment(text, now, zone, "", past=past)
        return at, echo_moment(at, zone, now)

    return read


def day_reader(
    now: dt.datetime,
    zone: str,
    *,
    earliest: dt.date | None = None,
    latest: dt.date | None = None,
    needed: bool = True,
    empty: str = "",
) -> Reader:
    """Return a reader of days: ``today``, ``fri``, ``+36h``, ``2 Dec``, an ISO date.

    A time of day is taken where one is given, as everywhere, and the day it falls on is kept.

    Args:
        now: the present instant, timezone-aware.
        zone: IANA name of the zone that days are in.
        earliest: the first day taken.
        latest: the last day taken.
        needed: whether an empty text is refused.
        empty: what an empty text means, in words.
    """

    def read(text: str) -> Understood:
        from finplan.trade.moments import parse_moment

        if not text.strip():
            if needed:
                raise BadInput("no day given: write one like today or 2026-04-01")
            return None, empty
        there = local(parse_moment(text, now, zone, ""), zone).date()
        said = f"{date(there)} {there.year}"
        if latest is not None and there > latest:
            raise BadInput(f"{said} lies ahead: give a day up to today")
        if earliest is not None and there < earliest:
            raise BadInput(f"{said} is past: give a day to come")
        return there, f"= {said}"

    return read


def amount_reader(measures: Measures) -> Callable[[str], Understood]:
    """Return a reader of ``0,4 l`` or ``12 fl oz``; empty means that nobody measured."""

    def read(text: str) -> Understood:
        from finplan.trade.quantities import parse_volume

        if not text.strip():
            return None, "not measured"
        litres = parse_volume(text, "")
        if measures.metric and litres < 1:
            return litres, f"= {litres * 1000:.0f} ml"
        return litres, f"= {measures.volume(litres)}"

    return read


def temperature_reader(measures: Measures, *, needed: bool = False) -> Callable[[str], Understood]:
    """Return a reader of ``18 C`` or ``65F``; empty leaves it to the air log unless needed."""

    def read(text: str) -> Understood:
        from finplan.trade.quantities import parse_temperature

        if not needed and not text.strip():
            return None, "from the air log"
        celsius = parse_temperature(text, "", measures.units.degree_letter)
        return celsius, f"= {measures.temperature(celsius)}"

    return read


def kept_while(shown: str, value: object, read: Callable[[str], Understood]) -> Reader:
    """Return a reader that gives ``value`` itself while the text is as shown.

    What is shown may be rounded; a form that is sent unchanged must change nothing.
    """

    def unchanged(text: str) -> Understood:
        return (value, "as it was") if text.strip() == shown else read(text)

    return unchanged


def humidity_reader(text: str) -> Understood:
    """Read a relative humidity such as ``55``; empty leaves it to the air log."""
    from finplan.trade.quantities import parse_humidity

    if not text.strip():
        return None, "from the air log"
    percent = parse_humidity(text, "")
    return percent, f"= {percent:.0f} %"


def text_reader(most: int = 400) -> Callable[[str], Understood]:
    """Return a reader of free text, on one line and without control characters."""

    def read(text: str) -> Understood:
        if len(text) > most:
            raise BadInput(f"too long: keep it under {most} letters")
        return tidy(text, most), ""

    return read


def needed_text(what: str) -> Callable[[str], Understood]:
    """Return a reader that refuses an empty text."""

    def read(text: str) -> Understood:
        if not text.strip():
            raise BadInput(f"nothing written: {what}")
        return text_reader()(text)

    return read
