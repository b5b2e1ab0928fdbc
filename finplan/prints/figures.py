"""What all pictures share: colours, symbols, and the way to bytes.

The same plan gives the same bytes: no date is written into a file, and no chance number names
its parts. Colours are told apart by people who do not see red and green, and every meaning has
a shape as well.
"""

from __future__ import annotations

import datetime as dt
import io
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from enum import StrEnum
from itertools import pairwise
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from finplan.trade.errors import BadInput
from finplan.trade.moments import short_date

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

AN_ESTIMATE = "An estimate: the label, the safety data sheet and local rules come first."
"""Stands at the foot of every picture of a plan or of drying."""

INK = "#1f2a33"
PALE_INK = "#66727c"
WET = "#2f6f9f"
DRYING = "#a9cbe4"
DUSTY = "#a8632a"
DRY_WORK = "#4b5157"
WEEKEND = "#f3f0e8"
WARM = "#b5502b"
DAMP = "#3b7f8c"

_MOST_DATES = 10
"""Dates that stand side by side under a picture without running into one another."""

_STYLE: dict[Any, Any] = {
    "font.family": ["DejaVu Sans", "sans-serif"],
    "font.size": 9.0,
    "svg.fonttype": "none",
    "svg.hashsalt": "finplan",
    "hatch.linewidth": 0.6,
    "axes.edgecolor": PALE_INK,
    "xtick.color": INK,
    "ytick.color": INK,
    "text.color": INK,
    "text.parse_math": False,
}


class Kind(StrEnum):
    """The kinds of picture there are."""

    SVG = "svg"
    PNG = "png"


def kind_of(name: str) -> Kind:
    """Return the kind of picture a file's name asks for.

    Raises:
        BadInput: it ends neither in .svg nor in .png.
    """
    ending = name.rpartition(".")[2].lower()
    if ending not in tuple(Kind):
        raise BadInput("a picture is SVG or PNG: let its name end in .svg or .png", name)
    return Kind(ending)


@contextmanager
def styled() -> Iterator[None]:
    """Make and write figures in finplan's style.

    A letter the font lacks shows as a box on paper and in PNG (in SVG the reader's own font has
    it); that is no matter for a warning on the screen.
    """
    from matplotlib import rc_context

    with rc_context(_STYLE), warnings.catch_warnings():
        warnings.filterwarnings("ignore", message="Glyph .* missing from font")
        yield


def new_figure(width_in: float, height_in: float) -> Figure:
    """Return an empty figure of a size in inches, without any window behind it."""
    from matplotlib.figure import Figure

    return Figure(figsize=(width_in, height_in), facecolor="white")


def bytes_of(figure: Figure, kind: Kind, title: str) -> bytes:
    """Return a figure as a file's bytes."""
    target = io.BytesIO()
    metadata = {"Title": title, "Date": None} if kind is Kind.SVG else {"Title": title}
    figure.savefig(target, format=kind.value, dpi=150, metadata=metadata)
    return target.getvalue()


def days(
    axes: Axes, start: dt.datetime, end: dt.datetime, zone: ZoneInfo, *, named: bool = True
) -> None:
    """Mark the days of a time axis: weekends shaded, a line and a date where a week begins."""
    axes.set_xlim(number(start), number(end))
    first = start.astimezone(zone).date()
    count = (end.astimezone(zone).date() - first).days + 1
    begins = [_midnight(first + dt.timedelta(days=i), zone) for i in range(count + 1)]
    weekly = count > 10
    ticks = []
    for midnight, after in pairwise(begins):
        if midnight.astimezone(zone).weekday() >= 5:
            axes.axvspan(number(midnight), number(after), color=WEEKEND, zorder=0, linewidth=0)
        if not weekly or midnight.astimezone(zone).weekday() == 0:
            ticks.append(midnight)
            axes.axvline(number(midnight), color="#d8d8d8", linewidth=0.7, zorder=0.5)
    ticks = [tick for tick in ticks if start <= tick <= end]
    ticks = ticks[:: -(-len(ticks) // _MOST_DATES)] if ticks else []
    axes.set_xticks([number(tick) for tick in ticks])
    axes.set_xticklabels([short_date(tick.astimezone(zone)) for tick in ticks] if named else [])


def number(instant: dt.datetime) -> float:
    """Return an instant as the number a time axis takes: days since 1970-01-01 UTC."""
    return instant.timestamp() / 86400.0


def _midnight(day: dt.date, zone: ZoneInfo) -> dt.datetime:
    return dt.datetime.combine(day, dt.time(0), zone)


def shortened(text: str, most: int) -> str:
    """Return a text of at most so many letters, an ellipsis where it was cut."""
    return text if len(text) <= most else f"{text[: most - 1].rstrip()}…"
