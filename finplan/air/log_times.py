"""Timestamps of an air log: ISO or written by day and month, with a zone or local."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable
from zoneinfo import ZoneInfo

from finplan.trade.errors import BadInput
from finplan.trade.moments import MONTHS, find_zone

_CLOCK = r"(?P<clock>\d{1,2}:\d{2}(:\d{2})?)(\.\d+)?\s*(?P<half>[ap]\.?m\.?)?$"
_WRITTEN = re.compile(
    r"^(?P<first>\d{1,2})(?P<sign>[./-])(?P<second>\d{1,2})(?P=sign)(?P<year>\d{4}|\d{2})[ T,]+"
    + _CLOCK,
    re.IGNORECASE,
)
_YEAR_FIRST = re.compile(
    r"^(?P<year>\d{4})(?P<sign>[./-])(?P<month>\d{1,2})(?P=sign)(?P<day>\d{1,2})[ T,]+" + _CLOCK,
    re.IGNORECASE,
)
_MONTH_NAMED = re.compile(
    r"^(?:(?P<day>\d{1,2})\.?[ -](?P<name>[a-z]{3})[a-z]*\.?|(?P<name2>[a-z]{3})[a-z]*\.? "
    r"(?P<day2>\d{1,2})),?[ -](?P<year>\d{4})[ T,]+" + _CLOCK,
    re.IGNORECASE,
)


_FIRST_YEAR, _LAST_YEAR = 1980, 2200


class TimeReader:
    """Turns timestamps, row by row in the file's order, into UTC.

    Args:
        zone: IANA name for times that carry no zone; empty where none is known.
        offset_minutes: the header's offset from UTC; counts before ``zone``.
        month_first: how to read 3/4/2026 and 3/4/26; None refuses them.
    """

    def __init__(self, zone: str, offset_minutes: int | None, month_first: bool | None) -> None:
        self._zone: dt.tzinfo | None = None
        if offset_minutes is not None:
            self._zone = dt.timezone(dt.timedelta(minutes=offset_minutes))
        elif zone:
            self._zone = find_zone(zone)
        self._month_first = month_first
        self._before: dt.datetime | None = None
        self._second_time_round = False

    def utc(self, cell: str, where: str) -> dt.datetime:
        """Read one timestamp.

        Raises:
            BadInput: not a time, ambiguous, without a zone, or skipped by the clock change.
        """
        moment = self._parse(cell, where)
        if not _FIRST_YEAR <= moment.year <= _LAST_YEAR:
            raise BadInput(f"{cell!r} is no year of a logger: check the date", where)
        if moment.tzinfo is not None:
            return moment.astimezone(dt.UTC)
        if self._zone is None:
            raise BadInput(f"{cell!r} has no time zone: give one, in the header too", where)
        return self._localise(moment, cell, where)

    def goes_back(self, first: str, last: str) -> bool:
        """Whether a file is written newest first, told by two of its timestamps."""
        try:
            moments = [self._parse(cell, "").replace(tzinfo=None) for cell in (first, last)]
        except BadInput:
            return False
        return moments[0] > moments[1]

    def _parse(self, cell: str, where: str) -> dt.datetime:
        written, year_first = _WRITTEN.match(cell), _YEAR_FIRST.match(cell)
        named = _MONTH_NAMED.match(cell)
        try:
            if written is not None:
                return self._written(written, cell, where)
            if year_first is not None:
                return _at(year_first, int(year_first["month"]), int(year_first["day"]))
            if named is not None:
                month = MONTHS.index((named["name"] or named["name2"]).title()) + 1
                return _at(named, month, int(named["day"] or named["day2"]))
            return _iso(cell)
        except ValueError as error:
            if isinstance(error, BadInput):
                raise
            raise BadInput(
                f"{cell[:60]!r} is no date and time: write it like 2026-10-03 18:00", where
            ) from error

    def _written(self, parts: re.Match[str], cell: str, where: str) -> dt.datetime:
        first, second = int(parts["first"]), int(parts["second"])
        month_first = False if parts["sign"] == "." else self._month_first
        if month_first is None and len(parts["year"]) == 2:
            raise BadInput(
                f"{cell!r} has a year of two digits: write dates like 2026-10-03, or say what "
                "comes first with finplan air import --dates",
                where,
            )
        if month_first is None and first != second:
            raise BadInput(
                f"{cell!r} may mean day {first} of month {second} or day {second} of month "
                f"{first}: write dates like 2026-10-03, or say what comes first with finplan air "
                "import --dates",
                where,
            )
        day, month = (second, first) if month_first else (first, second)
        return _at(parts, month, day)

    def _localise(self, moment: dt.datetime, cell: str, where: str) -> dt.datetime:
        """Local to UTC; in the hour that comes twice the second run of times is the later one."""
        zone = self._zone
        early = moment.replace(tzinfo=zone, fold=0).astimezone(dt.UTC)
        late = moment.replace(tzinfo=zone, fold=1).astimezone(dt.UTC)
        before, self._before = self._before, moment
        if early == late:
            self._second_time_round = False
            return early
        if early > late:  # only so for an hour that the clock skips
            name = zone.key if isinstance(zone, ZoneInfo) else "this zone"
            raise BadInput(
                f"{cell!r} does not exist in {name}, the clock goes forward then: the logger "
                "seems not to follow summer time, so write its offset into the header, like "
                "time (UTC+1)",
                where,
            )
        if before is not None and moment <= before:
            self._second_time_round = True
        return late if self._second_time_round else early


def _at(parts: re.Match[str], month: int, day: int) -> dt.datetime:
    """Return the local time of a match with year and clock; raises ValueError where none is."""
    hour, minute, second = (*map(int, parts["clock"].split(":")), 0)[:3]
    if parts["half"]:
        if not 1 <= hour <= 12:
            raise ValueError(parts[0])
        hour = hour % 12 + (12 if parts["half"][0] in "pP" else 0)
    year = int(parts["year"]) + (2000 if len(parts["year"]) == 2 else 0)
    date = dt.date(year, month, day)
    return dt.datetime.combine(date, dt.time(hour, minute, second))


def month_comes_first(cells: Iterable[str]) -> bool | None:
    """Whether a file writes the month first, told by a number above 12; None if none tells.

    Raises:
        BadInput: rows that tell both.
    """
    found: set[bool] = set()
    for cell in cells:
        parts = _WRITTEN.match(cell)
        if parts and parts["sign"] != "." and len(parts["year"]) == 4:
            first, second = int(parts["first"]), int(parts["second"])
            if first > 12 >= second:
                found.add(False)
            elif second > 12 >= first:
                found.add(True)
    if len(found) == 2:
        raise BadInput(
            "some dates have the day first and some the month: write dates like 2026-10-03"
        )
    return found.pop() if found else None


def _iso(cell: str) -> dt.datetime:
    text = cell.strip().replace("/", "-")
    text = re.sub(r"\s*(UTC|GMT)$", "+00:00", text)
    text = re.sub(r"\s+([+-]\d{2}:?\d{2})$", r"\1", text)
    if not re.match(r"^\d{4}-\d{2}-\d{2}[ T]\d", text):
        raise ValueError(cell)
    return dt.datetime.fromisoformat(text)
