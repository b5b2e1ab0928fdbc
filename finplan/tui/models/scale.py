"""The time scale of the timeline: what stretch is shown, how fine, and its two lines of labels."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache
from zoneinfo import ZoneInfo

from rich.cells import cell_len

from finplan.trade.moments import MONTHS
from finplan.tui.models.paint import Line, Role, line
from finplan.tui.models.times import date

ZOOMS = (15, 30, 60, 120, 240, 480, 1440, 4320, 10080)
"""Minutes a cell stands for, from a quarter of an hour to a week."""

ZOOM_WORDS = {
    15: "15 min",
    30: "30 min",
    60: "1 h",
    120: "2 h",
    240: "4 h",
    480: "8 h",
    1440: "1 day",
    4320: "3 days",
    10080: "7 days",
}

DAY_MINUTES = 1440


@dataclass(frozen=True, slots=True)
class Window:
    """The stretch that shows: from ``start_s`` (seconds since 1970), ``width`` cells wide."""

    start_s: int
    minutes: int
    width: int

    @property
    def cell_s(self) -> int:
        """Seconds a cell stands for."""
        return self.minutes * 60

    @property
    def end_s(self) -> int:
        """The end of the stretch."""
        return self.start_s + self.width * self.cell_s

    def cell(self, at_s: float) -> int:
        """Return the cell an instant falls into; below 0 or at least ``width`` when outside."""
        return int((at_s - self.start_s) // self.cell_s)

    def moved(self, cells: int) -> Window:
        """Return the window shifted by whole cells."""
        return replace(self, start_s=self.start_s + cells * self.cell_s)


def window_at(at: dt.datetime, zone: str, minutes: int, width: int, lead: int) -> Window:
    """Return a window with ``at`` in cell ``lead``, its cells on whole local hours or days."""
    there = at.astimezone(ZoneInfo(zone))
    midnight = dt.datetime.combine(there.date(), dt.time.min, there.tzinfo)
    start = int(midnight.timestamp())
    cell_s = minutes * 60
    into = (int(at.timestamp()) - start) // cell_s
    return Window(start + (into - lead) * cell_s, minutes, width)


@lru_cache(maxsize=16)
def moments(window: Window, zone: str) -> tuple[dt.datetime, ...]:
    """Return the local start of each cell."""
    tz = ZoneInfo(zone)
    return tuple(
        dt.datetime.fromtimestamp(window.start_s + i * window.cell_s, tz)
        for i in range(window.width)
    )


def with_now(lower: Line, cell: int, width: int) -> Line:
    """Return a label line with ``now`` written at a cell; labels it would touch give way."""
    if not 0 <= cell < width:
        return lower
    text = lower[0].text if lower else " " * width
    start = min(max(cell - 1, 0), width - 3)
    before, after = text[:start], text[start + 3 :]
    if before and not before.endswith(" "):
        kept = before.rsplit(" ", 1)[0] if " " in before else ""
        before = kept.ljust(start)
    touching = len(after) - len(after.lstrip("0123456789"))
    after = " " * touching + after[touching:]
    return line((before, Role.QUIET), ("now", Role.NOW), (after, Role.QUIET))


Label = Callable[[dt.datetime], tuple[object, str]]


def _day(at: dt.datetime) -> tuple[object, str]:
    return at.date(), date(at.date())


def _week(at: dt.datetime) -> tuple[object, str]:
    return at.isocalendar()[:2], date(at.date())


def _month(at: dt.datetime) -> tuple[object, str]:
    return (at.year, at.month), f"{MONTHS[at.month - 1]} {at.year}"


def _year(at: dt.datetime) -> tuple[object, str]:
    return at.year, str(at.year)


def _hours(step: int) -> Label:
    def label(at: dt.datetime) -> tuple[object, str]:
        whole = at.hour // step * step
        return (at.date(), whole), f"{whole:02d}"

    return label


def _day_number(at: dt.datetime) -> tuple[object, str]:
    return at.date(), str(at.day)


def _monday(at: dt.datetime) -> tuple[object, str]:
    return at.isocalendar()[:2], str(at.day)


def _month_name(at: dt.datetime) -> tuple[object, str]:
    return (at.year, at.month), MONTHS[at.month - 1]


LABELS: dict[int, tuple[Label, Label]] = {
    15: (_day, _hours(1)),
    30: (_day, _hours(3)),
    60: (_day, _hours(6)),
    120: (_day, _hours(12)),
    240: (_day, _hours(12)),
    480: (_week, _day_number),
    1440: (_month, _monday),
    4320: (_month, _monday),
    10080: (_year, _month_name),
}


@lru_cache(maxsize=16)
def scale_lines(window: Window, zone: str) -> tuple[Line, Line]:
    """Return the two label lines: days or months above, hours or days below."""
    major, minor = LABELS[window.minutes]
    there = moments(window, zone)
    return (
        line((_labels(there, major, first=True), Role.HEADING)),
        line((_labels(there, minor, first=False), Role.QUIET)),
    )


def _labels(there: tuple[dt.datetime, ...], label: Label, *, first: bool) -> str:
    """Put each label where its unit begins; one without room is left out."""
    cells = [" "] * len(there)
    before: object = None
    free = 0
    starts = _starts(there, label)
    for position, (index, name) in enumerate(starts):
        room = (starts[position + 1][0] if position + 1 < len(starts) else len(there)) - index
        size = cell_len(name)
        if index < free or (size + 1 > room and first) or index + size > len(there):
            continue
        if index == 0 and not first:
            continue
        cells[index : index + size] = list(name)
        free = index + size + 1
        before = name
    if first and before is None and starts:
        name = starts[0][1][: len(there)]
        cells[: len(name)] = list(name)
    return "".join(cells)


def _starts(there: tuple[dt.datetime, ...], label: Label) -> list[tuple[int, str]]:
    found: list[tuple[int, str]] = []
    before: object = None
    for index, at in enumerate(there):
        unit, name = label(at)
        if unit != before:
            found.append((index, name))
            before = unit
    return found
