"""Work hours as people write them: ``tue thu 18:30-21:30, sat 8-17``, ``weekday evenings 6-9``."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence

from finplan.trade.errors import BadInput
from finplan.trade.moments import FULL_WEEKDAYS, WEEKDAYS
from finplan.trade.names import shown
from finplan.trade.workshop import WorkWindow

_CODES = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
_LONGEST_TEXT = 300
_REMEDY = "write e.g. tue thu 18:30-21:30, sat 8-17"
_CLOCK = r"(\d{1,2})(?:[:.h](\d{2}))?h?\s*([ap]m)?"
_GROUP = re.compile(
    rf"(?P<days>[a-z\s,;&+–-]*?)\s*(?P<span>{_CLOCK}\s*(?:-|–|to)\s*{_CLOCK})[\s,;]*"
)
_WORKING_DAYS, _END_OF_WEEK, _EVERY_DAY = range(5), range(5, 7), range(7)
_SEVERAL = {
    **dict.fromkeys(("weekday", "weekdays"), _WORKING_DAYS),
    **dict.fromkeys(("weekend", "weekends"), _END_OF_WEEK),
    **dict.fromkeys(("daily", "everyday"), _EVERY_DAY),
}
"""Words that name several days."""
_MORNING, _AFTERNOON, _EVENING = "morning", "afternoon", "evening"
_PARTS = {f"{part}{s}": part for part in (_MORNING, _AFTERNOON, _EVENING) for s in ("", "s")}
_NONE = {"none", "no hours"}
_NOON, _EVENING_BEGINS, _AFTERNOON_ENDS = 12 * 60, 17 * 60, 18 * 60
_SHORTEST_DAY_NAME = 2


def parse_hours(text: str, where: str = "") -> tuple[WorkWindow, ...]:
    """Return the windows of a week that a text names.

    Days stand before their hours, alone, in a row or as ``mon-fri``; ``daily``, ``weekdays`` and
    ``weekends`` name several, and hours without days belong to the days before them. Of
    ``afternoons`` and ``evenings`` 6 is 18:00. ``none`` is no hours, for a while.

    Raises:
        BadInput: no days or hours in it, a day that is none, or hours that end before they begin.
    """
    plain = " ".join(text.lower().replace("every day", "daily").split())
    if plain in _NONE:
        return ()
    if not plain or len(text) > _LONGEST_TEXT:
        raise BadInput(f"{shown(text)} names no work hours: {_REMEDY}", where)
    windows: list[WorkWindow] = []
    days: list[int] = []
    at = 0
    while at < len(plain):
        group = _GROUP.match(plain, at)
        if group is None:
            raise BadInput(f"{shown(plain[at:])} names no days and hours: {_REMEDY}", where)
        words = _words(group["days"])
        part = next((_PARTS[word] for word in words if word in _PARTS), "")
        days = _days([word for word in words if word not in _PARTS], where) or days
        if not days:
            raise BadInput(f"{shown(group['span'])} is on no day: {_REMEDY}", where)
        windows.append(_window(days, part, group, where))
        at = group.end()
    return tuple(windows)


def say_hours(windows: Sequence[WorkWindow]) -> str:
    """Return windows in words: ``weekday evenings 18:30 to 21:30; Sat 08:00 to 17:00``.

    ``parse_hours`` reads them back, but for rules that are no days of the week.
    """
    return "; ".join(map(_said, windows)) or "no hours"


def _window(days: list[int], part: str, group: re.Match[str], where: str) -> WorkWindow:
    starts, ends = (
        _minutes(clock, part, where) for clock in (group.groups()[2:5], group.groups()[5:8])
    )
    if ends <= starts:
        raise BadInput(
            f"{shown(group['span'])} ends before it begins: give hours within one day, "
            "such as 18:30-21:30",
            where,
        )
    rule = "FREQ=DAILY" if len(days) == len(_CODES) else f"FREQ=WEEKLY;BYDAY={_codes(days)}"
    return WorkWindow(rule, dt.time(*divmod(starts, 60)), ends - starts)


def _codes(days: list[int]) -> str:
    return ",".join(_CODES[day] for day in days)


def _minutes(clock: tuple[str | None, ...], part: str, where: str) -> int:
    """Return the minutes since midnight; 24:00 is the end of the day."""
    hour, minute, half = int(clock[0] or 0), int(clock[1] or 0), clock[2]
    if half and not 1 <= hour <= 12:
        raise BadInput(f"{hour} {half} is no time of day: write e.g. 6 pm or 18:00", where)
    if half:
        hour = hour % 12 + (12 if half == "pm" else 0)
    elif part in (_AFTERNOON, _EVENING) and hour < 12:
        hour += 12
    minutes = hour * 60 + minute
    if minute > 59 or minutes > 24 * 60:
        raise BadInput(f"{hour}:{minute:02} is no time of day: write 0:00 to 24:00", where)
    return minutes


def _words(text: str) -> list[str]:
    """Return the words that stand before hours, ``mon - fri`` and ``mon to fri`` as one."""
    joined = re.sub(r"\s*[-–]\s*|\s+to\s+", "-", text)
    return [word for word in re.split(r"[\s,;&+]+", joined) if word and word != "and"]


def _days(words: Sequence[str], where: str) -> list[int]:
    """Return the weekdays that words name, Monday as 0, each once and in the week's order."""
    found: set[int] = set()
    for word in words:
        first, _, last = word.partition("-")
        if word in _SEVERAL:
            found |= set(_SEVERAL[word])
        elif last:
            begins, ends = _day(first, where), _day(last, where)
            found |= {(begins + n) % 7 for n in range((ends - begins) % 7 + 1)}
        else:
            found.add(_day(word, where))
    return sorted(found)


def _day(word: str, where: str) -> int:
    plain = word.rstrip(".").removesuffix("s") if len(word) > 5 else word.rstrip(".")
    fits = [n for n, name in enumerate(FULL_WEEKDAYS) if name.startswith(plain)]
    if len(plain) < _SHORTEST_DAY_NAME or len(fits) != 1:
        raise BadInput(f"{shown(word)} is no weekday: {_REMEDY}", where)
    return fits[0]


def _said(window: WorkWindow) -> str:
    starts = window.start.hour * 60 + window.start.minute
    ends = starts + window.minutes
    span = f"{starts // 60:02}:{starts % 60:02} to {ends // 60:02}:{ends % 60:02}"
    part = ""
    if starts >= _EVENING_BEGINS:
        part = _EVENING
    elif ends <= _NOON:
        part = _MORNING
    elif starts >= _NOON and ends <= _AFTERNOON_ENDS:
        part = _AFTERNOON
    return f"{_days_said(window.rule, part)} {span}"


def _days_said(rule: str, part: str) -> str:
    """Return the days of a plain weekly rule and their part in words, another rule as it stands."""
    if rule == "FREQ=DAILY":
        return "every day"
    found = re.fullmatch(r"FREQ=WEEKLY;BYDAY=([A-Z,]+)", rule)
    codes = found[1].split(",") if found else []
    if not codes or not set(codes) <= set(_CODES):
        return rule
    days = sorted(_CODES.index(code) for code in codes)
    if days == list(_WORKING_DAYS):
        return f"weekday {part}s" if part else "weekdays"
    if days == list(_END_OF_WEEK):
        return f"weekend {part}s" if part else "weekends"
    *most, last = (WEEKDAYS[day] for day in days)
    said = f"{', '.join(most)} and {last}" if most else last
    if len(days) > 2 and days == list(range(days[0], days[-1] + 1)):
        said = f"{WEEKDAYS[days[0]]} to {WEEKDAYS[days[-1]]}"
    return f"{said} {part}s" if part else said
