"""Moments as people write them: ISO, ``today 18:00``, ``fri``, ``+36h``; never a guess.

Local times follow one rule at clock changes: a time that the change skips is refused, a time
that comes twice is the first of the two. A UTC offset in the text says otherwise.
"""

from __future__ import annotations

import datetime as dt
import math
import re
import zoneinfo

from finplan.trade.errors import BadInput
from finplan.trade.names import did_you_mean, shown
from finplan.trade.quantities import parse_duration

WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
FULL_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_YEARS = range(1900, 2201)
_EXAMPLES = "write e.g. 2026-10-05 18:00, today 18:00, fri 9:00 or +36h"
_ISO = re.compile(
    r"(\d{4})-(\d{1,2})-(\d{1,2})(?:[T ]\s*(.+?))?\s*(Z|UTC|[+-]\d{2}:?\d{2})?", re.IGNORECASE
)
_NAMED = re.compile(
    r"(?:(?P<weekday>[a-z]{3,9})\s+)?(?P<day>\d{1,2})\.?\s+(?P<month>[a-z]{3,9})\.?,?"
    r"(?:\s+(?P<year>\d{4}))?(?:\s+(?P<time>.+))?",
    re.IGNORECASE,
)
_MONTH_FIRST = re.compile(
    rf"(?:(?P<weekday>[a-z]{{3,9}})\.?,?\s+)?(?P<month>(?:{'|'.join(MONTHS)})[a-z]*)\.?\s+"
    r"(?P<day>\d{1,2})(?:st|nd|rd|th)?,?(?:\s+(?P<year>\d{4}))?(?:\s+(?P<time>.+))?",
    re.IGNORECASE,
)
_MINUTES = re.compile(r"(?<=[\d ])m\b")
"""``-10m``: a duration by itself might mean months, and is asked for again."""
_NUMBERS_ONLY = re.compile(r"(\d{1,2})([/.-])(\d{1,2})(?:\2(\d{2}|\d{4})|\2)?(?:\s+(.+))?")
_TIME = re.compile(r"(\d{1,2})(?::(\d{2})(?::(\d{2})(?:[.,]\d{1,9})?)?)?\s*(am|pm)?", re.IGNORECASE)


def find_zone(name: str | zoneinfo.ZoneInfo, where: str = "") -> zoneinfo.ZoneInfo:
    """Return the time zone of an IANA name.

    Raises:
        BadInput: there is no such zone; the nearest name is offered.
    """
    if isinstance(name, zoneinfo.ZoneInfo):
        return name
    try:
        return zoneinfo.ZoneInfo(name)
    except (zoneinfo.ZoneInfoNotFoundError, ValueError, OSError):
        near = did_you_mean(name, zoneinfo.available_timezones())
    remedy = near or ": write one like Europe/Berlin or America/Chicago"
    raise BadInput(f"{shown(name)} is no time zone{remedy}", where)


def require_aware(instant: dt.datetime, where: str = "") -> dt.datetime:
    """Return an instant in UTC; one without a zone is refused."""
    if instant.tzinfo is None or instant.utcoffset() is None:
        raise BadInput(
            f"{instant.isoformat(' ')} has no time zone: add one, e.g. {instant.isoformat()}Z",
            where,
        )
    return instant.astimezone(dt.UTC)


def parse_moment(
    text: str,
    now: dt.datetime,
    zone: str | zoneinfo.ZoneInfo,
    where: str = "",
    *,
    past: bool = False,
) -> dt.datetime:
    """Return the instant a person means, in UTC.

    Args:
        text: ISO date and time, with an offset or local; ``now``; ``+36h`` and ``-2h`` (elapsed
            hours); a time of today (``18:00``); ``today``, ``tomorrow`` or ``yesterday`` with a
            time; a weekday, which is the next one whose time has not passed; ``5 Oct 2026 18:00``.
            A day without a time means its first moment.
        now: the present instant, timezone-aware.
        zone: IANA name of the zone that local times are in.
        where: the place named in front of an error.
        past: it is told of what happened, so that a weekday, or a day without a year, is the
            last one whose time has come.

    Raises:
        BadInput: not understood, ambiguous (``4/5``), no such day, or skipped by a clock change.
    """
    present = require_aware(now)
    local_zone = find_zone(zone)
    plain = _plain(text, where)
    if plain.lower() == "now":
        return present
    if re.match(r"[+-]\s*[\d.,]", plain):
        return _shifted(plain, present, where)
    iso = _ISO.fullmatch(plain)
    if iso is not None and iso[5] is not None:
        return _with_offset(iso, where)
    day, time = _day_and_time(plain, present, local_zone, where, past=past)
    if time is None:
        return instant_of(day, dt.time(), local_zone)
    return _to_utc(day, time, local_zone, where)


def parse_date(
    text: str, now: dt.datetime, zone: str | zoneinfo.ZoneInfo, where: str = ""
) -> dt.date:
    """Return the date a person means; takes what ``parse_moment`` takes, without a time.

    Raises:
        BadInput: not understood, ambiguous, no such day, or with a time of day.
    """
    local_zone = find_zone(zone)
    plain = _plain(text, where)
    if re.match(r"[+-]\s*[\d.,]", plain):
        return _shifted(plain, require_aware(now), where).astimezone(local_zone).date()
    day, time = _day_and_time(plain, require_aware(now), local_zone, where)
    if time is not None:
        raise BadInput(f"{shown(text)} has a time of day: give the date alone", where)
    return day


def instant_of(day: dt.date, time: dt.time, zone: dt.tzinfo) -> dt.datetime:
    """Return the instant (UTC) of a local day and time: one that a clock change skips is put on."""
    return dt.datetime.combine(day, time, zone).astimezone(dt.UTC)


def instant_or_none(seconds: float) -> dt.datetime | None:
    """Return an instant from seconds since 1970 UTC, None where it is never or out of range."""
    if not math.isfinite(seconds):
        return None
    try:
        return dt.datetime.fromtimestamp(seconds, dt.UTC)
    except (OverflowError, ValueError, OSError):
        return None


def say_moment(instant: dt.datetime, zone: str | zoneinfo.ZoneInfo) -> str:
    """Return an instant as ``Sat 7 Nov 2026 18:00`` in the given zone."""
    local = require_aware(instant).astimezone(find_zone(zone))
    return f"{say_date(local.date())} {local:%H:%M}"


def say_date(day: dt.date) -> str:
    """Return a date as ``Sat 7 Nov 2026``."""
    return f"{short_date(day)} {day.year}"


def short_date(day: dt.date) -> str:
    """Return a date without its year, as ``Sat 7 Nov``; the same in every locale."""
    return f"{WEEKDAYS[day.weekday()]} {day.day} {MONTHS[day.month - 1]}"


def short_moment(instant: dt.datetime, zone: dt.tzinfo) -> str:
    """Return an instant as ``Sat 7 Nov 18:00`` in the given zone."""
    local = instant.astimezone(zone)
    return f"{short_date(local)} {local:%H:%M}"


def format_duration(hours: float) -> str:
    """Return a duration as ``1 h 30 min`` or ``45 min``, from a day on ``2 d 4 h``."""
    minutes = round(abs(hours) * 60)
    if minutes >= 24 * 60:
        minutes = round(abs(hours)) * 60
    sign = "-" if hours < 0 and minutes else ""
    days, rest = divmod(minutes, 24 * 60)
    whole, left = divmod(rest, 60)
    parts = [f"{days} d"] if days else []
    parts += [f"{whole} h"] if whole else []
    parts += [f"{left} min"] if left or not minutes else []
    return sign + " ".join(parts)


def _plain(text: str, where: str) -> str:
    plain = " ".join(text[:80].split())
    if not plain or len(text) > 80:
        raise BadInput(f"{shown(text)} is no date or time: {_EXAMPLES}", where)
    return plain.replace("−", "-")


def _shifted(plain: str, present: dt.datetime, where: str) -> dt.datetime:
    said = _MINUTES.sub("min", plain[1:].strip())
    shift = dt.timedelta(seconds=round(parse_duration(said, where) * 3600.0))
    return present + shift if plain[0] == "+" else present - shift


def _with_offset(iso: re.Match[str], where: str) -> dt.datetime:
    day = _date(int(iso[1]), int(iso[2]), int(iso[3]), where)
    if iso[4] is None:
        raise BadInput(f"{shown(iso[0])} has a UTC offset but no time: add a time", where)
    time = _time(iso[4], where)
    offset = iso[5].upper().replace(":", "")
    if offset in {"Z", "UTC"}:
        return dt.datetime.combine(day, time, dt.UTC)
    hours, minutes = int(offset[1:3]), int(offset[3:5])
    if hours > 14 or minutes > 59:
        raise BadInput(f"UTC offset {iso[5]} does not exist: give one from -12:00 to +14:00", where)
    shift = dt.timedelta(hours=hours, minutes=minutes) * (-1 if offset[0] == "-" else 1)
    return dt.datetime.combine(day, time, dt.timezone(shift)).astimezone(dt.UTC)


def _day_and_time(
    plain: str, present: dt.datetime, zone: zoneinfo.ZoneInfo, where: str, *, past: bool = False
) -> tuple[dt.date, dt.time | None]:
    """Return the local day and, where one is given, the time of day."""
    today = present.astimezone(zone).date()
    iso = _ISO.fullmatch(plain)
    if iso is not None and iso[5] is None:
        day = _date(int(iso[1]), int(iso[2]), int(iso[3]), where)
        return day, _time(iso[4], where) if iso[4] else None
    _refuse_numbers_only(plain, today, where)
    named = _NAMED.fullmatch(plain) or _MONTH_FIRST.fullmatch(plain)
    if named is not None:
        return _named_day(named, today, where, past=past)
    if _TIME.fullmatch(plain) and (":" in plain or plain[-1] in "mM"):
        return today, _time(plain, where)
    word, _, rest = plain.partition(" ")
    time = _time(rest, where) if rest else None
    relative = {"yesterday": -1, "today": 0, "tomorrow": 1}.get(word.lower())
    if relative is not None:
        return today + dt.timedelta(days=relative), time
    weekday = _weekday(word)
    if weekday is not None:
        local = present.astimezone(zone)
        nearest = _last_weekday if past else _next_weekday
        return nearest(weekday, time, local), time
    near = did_you_mean(word, ("now", "today", "tomorrow", "yesterday", *FULL_WEEKDAYS))
    raise BadInput(f"{shown(plain)} is no date or time{near}: {_EXAMPLES}", where)


def _weekday(word: str) -> int | None:
    """Return 0 for Monday; at least three letters of the English name are needed."""
    lower = word.lower().rstrip(".")
    matches = [i for i, name in enumerate(FULL_WEEKDAYS) if name.startswith(lower)]
    return matches[0] if len(lower) >= 3 and matches else None


def _next_weekday(weekday: int, time: dt.time | None, local: dt.datetime) -> dt.date:
    """Return the next such day; today only if the time is still ahead."""
    ahead = (weekday - local.weekday()) % 7
    if ahead == 0 and (time is None or time <= local.time()):
        ahead = 7
    return local.date() + dt.timedelta(days=ahead)


def _last_weekday(weekday: int, time: dt.time | None, local: dt.datetime) -> dt.date:
    """Return the last such day; today only if the time has come."""
    since = (local.weekday() - weekday) % 7
    if since == 0 and time is not None and time > local.time():
        since = 7
    return local.date() - dt.timedelta(days=since)


def _named_day(
    named: re.Match[str], today: dt.date, where: str, *, past: bool
) -> tuple[dt.date, dt.time | None]:
    """Read ``Sat 7 Nov 2026 18:00`` or ``Nov 7``; without a year the next one, or the last."""
    month_word = named["month"].lower()
    months = [i for i, name in enumerate(MONTHS, start=1) if month_word[:3] == name.lower()]
    if not months:
        raise BadInput(f"{shown(named['month'])} is no month: write e.g. 5 Oct 2026", where)
    year = int(named["year"]) if named["year"] else today.year
    day = _date(year, months[0], int(named["day"]), where)
    if not named["year"] and (day > today if past else day < today):
        day = _date(year - 1 if past else year + 1, months[0], int(named["day"]), where)
    if named["weekday"]:
        said = _weekday(named["weekday"])
        if said is None:
            raise BadInput(f"{shown(named['weekday'])} is no weekday: leave it out", where)
        if said != day.weekday():
            raise BadInput(f"{say_date(day)} is no {FULL_WEEKDAYS[said].title()}", where)
    return day, _time(named["time"], where) if named["time"] else None


def _refuse_numbers_only(plain: str, today: dt.date, where: str) -> None:
    """Refuse ``4/5`` and its like, naming each reading there is."""
    found = _NUMBERS_ONLY.fullmatch(plain)
    if found is None:
        return
    first, second = int(found[1]), int(found[3])
    year = int(found[4] or today.year)
    year += 2000 if year < 100 else 0
    readings = []
    for day, month in dict.fromkeys(((first, second), (second, first))):
        try:
            readings.append(dt.date(year, month, day))
        except ValueError:
            continue
    if not readings:
        raise BadInput(f"{shown(plain)} is no date: {_EXAMPLES}", where)
    said = " or ".join(f"{one.day} {MONTHS[one.month - 1]}" for one in readings)
    written = " or ".join(one.isoformat() for one in readings)
    verb = "can be" if len(readings) > 1 else "may mean"
    raise BadInput(f"{shown(plain)} {verb} {said}: write {written}", where)


def check_year(year: int, where: str = "") -> None:
    """Refuse a year that no date here can lie in.

    Raises:
        BadInput: it is before 1900 or after 2200.
    """
    if year not in _YEARS:
        raise BadInput(f"year {year} is outside {_YEARS[0]} to {_YEARS[-1]}", where)


def _date(year: int, month: int, day: int, where: str) -> dt.date:
    check_year(year, where)
    if not 1 <= month <= 12:
        raise BadInput(f"there is no month {month}: months go from 1 to 12", where)
    try:
        return dt.date(year, month, day)
    except ValueError:
        after = dt.date(year + month // 12, month % 12 + 1, 1)
        last = (after - dt.timedelta(days=1)).day
        name = MONTHS[month - 1]
        raise BadInput(
            f"there is no {day} {name} {year}: {name} {year} has {last} days", where
        ) from None


def _time(text: str, where: str) -> dt.time:
    found = _TIME.fullmatch(text.strip())
    if found is None:
        raise BadInput(f"{shown(text)} is no time of day: write e.g. 18:00", where)
    hour, minute, second = int(found[1]), int(found[2] or 0), int(found[3] or 0)
    if found[4]:
        if not 1 <= hour <= 12:
            raise BadInput(f"{shown(text)} is no time of day: write e.g. 6 pm or 18:00", where)
        hour = hour % 12 + (12 if found[4].lower() == "pm" else 0)
    if hour > 23 or minute > 59 or second > 59:
        raise BadInput(f"{shown(text)} is no time of day: write 00:00 to 23:59", where)
    return dt.time(hour, minute, second)


def _to_utc(day: dt.date, time: dt.time, zone: zoneinfo.ZoneInfo, where: str) -> dt.datetime:
    """Bring a local time to UTC: skipped ones are refused, of two the first is taken."""
    local = dt.datetime.combine(day, time, zone)
    instant = local.astimezone(dt.UTC)
    back = instant.astimezone(zone)
    if back.replace(tzinfo=None) != local.replace(tzinfo=None):
        raise BadInput(
            f"{time:%H:%M} on {say_date(day)} is skipped by the clock change in {zone.key}: "
            f"write {back:%H:%M}",
            where,
        )
    return instant
