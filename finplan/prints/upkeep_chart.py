"""The years of upkeep as a picture: each piece's work over time, and below it what a year takes."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from finplan.prints.figures import (
    DRY_WORK,
    DRYING,
    INK,
    PALE_INK,
    WET,
    Kind,
    bytes_of,
    new_figure,
    shortened,
    styled,
)
from finplan.tracking.upkeep.pieces import UpkeepKind, Work
from finplan.tracking.upkeep.totals import YearTotals
from finplan.trade.errors import BadInput
from finplan.trade.moments import say_date
from finplan.trade.names import counted

if TYPE_CHECKING:
    from matplotlib.axes import Axes

MOST_ROWS = 60
"""More pieces than this can't be told apart on one sheet; our own choice."""

_ROW_IN = 0.3
_SUMS_IN = 1.5

_WORKS: dict[Work, tuple[str, float, str]] = {
    Work.RENEWAL: ("o", 8.0, WET),
    Work.CLEANING: ("^", 5.0, DRY_WORK),
    Work.INSPECTION: ("|", 6.0, DRY_WORK),
}
"""Shape, size and colour of each work."""

_KINDS = {
    UpkeepKind.RENEWED: Work.RENEWAL,
    UpkeepKind.REFINISHED: Work.RENEWAL,
    UpkeepKind.CLEANED: Work.CLEANING,
    UpkeepKind.INSPECTED: Work.INSPECTION,
}


@dataclass(frozen=True, slots=True)
class PieceYears:
    """A piece's row: what was done on which day, and what is to come."""

    label: str
    done: Sequence[tuple[dt.date, UpkeepKind]]
    coming: Sequence[tuple[dt.date, Work]]


@dataclass(frozen=True, slots=True)
class UpkeepPicture:
    """What a picture of the years is made from; ``years`` rise without a gap."""

    pieces: Sequence[PieceYears]
    years: Sequence[YearTotals]
    today: dt.date


def upkeep_chart(picture: UpkeepPicture, kind: Kind) -> bytes:
    """Return the picture of the years as the bytes of an SVG or PNG file.

    A row for each piece: filled marks are done, hollow ones to come. Below, the days out of use
    of each year, with the visits and the cost in figures.

    Raises:
        BadInput: more pieces than can be told apart.
    """
    if len(picture.pieces) > MOST_ROWS:
        raise BadInput(
            f"{len(picture.pieces)} pieces can't be told apart in one picture, {MOST_ROWS} can: "
            "see `finplan upkeep` for all",
            "chart",
        )
    rows = _ROW_IN * max(len(picture.pieces), 3)
    height = rows + _SUMS_IN + 1.7
    with styled():
        figure = new_figure(10.0, height)
        grid = figure.add_gridspec(
            2,
            1,
            height_ratios=[rows, _SUMS_IN],
            left=0.24,
            right=0.97,
            top=1 - 0.85 / height,
            bottom=0.65 / height,
            hspace=0.4 / ((rows + _SUMS_IN) / 2),
        )
        axes = figure.add_subplot(grid[0])
        _draw_pieces(axes, picture)
        _legend(axes)
        _draw_sums(figure.add_subplot(grid[1], sharex=axes), picture)
        first, last = picture.years[0].year, picture.years[-1].year
        title = f"Upkeep {first} to {last}" if first != last else f"Upkeep {first}"
        figure.text(0.02, 1 - 0.25 / height, title, fontsize=13, weight="bold", va="center")
        figure.text(0.02, 0.12 / height, _foot(picture), fontsize=6.8, color=PALE_INK)
        return bytes_of(figure, kind, title)


def _foot(picture: UpkeepPicture) -> str:
    return (
        f"As of {say_date(picture.today)}. Days to come are estimates: what inspections find "
        "moves them. The label, the safety data sheet and local rules come first."
    )


def _draw_pieces(axes: Axes, picture: UpkeepPicture) -> None:
    first, last = picture.years[0].year, picture.years[-1].year
    for year in range(first, last + 2):
        axes.axvline(_number(dt.date(year, 1, 1)), color="#d8d8d8", linewidth=0.7, zorder=0.5)
    for at, piece in enumerate(picture.pieces):
        axes.axhline(at, color="#ececec", linewidth=0.6, zorder=0.4)
        _marks(axes, at, [(day, _KINDS[kind]) for day, kind in piece.done], done=True)
        _marks(axes, at, piece.coming, done=False)
    axes.axvline(_number(picture.today), color=INK, linewidth=1.2)
    axes.text(_number(picture.today), -0.62, " now", fontsize=7.5, va="center")
    axes.set_xlim(_number(dt.date(first, 1, 1)), _number(dt.date(last + 1, 1, 1)))
    axes.set_ylim(max(len(picture.pieces), 3) - 0.5, -0.8)
    axes.set_yticks(range(len(picture.pieces)))
    axes.set_yticklabels([shortened(piece.label, 36) for piece in picture.pieces], fontsize=7.5)
    axes.tick_params(axis="both", length=0)
    for edge in ("top", "right", "left"):
        axes.spines[edge].set_visible(False)
    axes.set_xticks(
        [_number(dt.date(year, 7, 1)) for year in range(first, last + 1)],
        [str(year) for year in range(first, last + 1)],
        fontsize=8,
    )


def _marks(axes: Axes, at: int, some: Sequence[tuple[dt.date, Work]], *, done: bool) -> None:
    for work, (shape, size, colour) in _WORKS.items():
        days = [_number(day) for day, own in some if own is work]
        look: dict[str, Any] = {
            "color": colour,
            "markersize": size,
            "markerfacecolor": colour if done else "white",
            "markeredgewidth": 1.0 if done else 0.9,
            "alpha": 1.0 if done or work is Work.RENEWAL else 0.55,
            "zorder": 3 if work is Work.RENEWAL else 2,
        }
        axes.plot(days, [at] * len(days), shape, linestyle="", **look)


def _draw_sums(axes: Axes, picture: UpkeepPicture) -> None:
    days = [one.out_hours / 24.0 for one in picture.years]
    middles = [_number(dt.date(one.year, 7, 1)) for one in picture.years]
    axes.bar(middles, days, width=200, color=DRYING, edgecolor=WET, linewidth=0.6, zorder=2)
    top = max([*days, 1.0])
    for middle, day, one in zip(middles, days, picture.years, strict=True):
        axes.text(middle, day + top * 0.04, _figures(one), fontsize=6.8, ha="center", va="bottom")
    axes.set_ylim(0, top * 1.55)
    axes.set_ylabel("days out of use\nto come", fontsize=7.5)
    axes.tick_params(axis="x", length=0, labelbottom=False)
    axes.tick_params(axis="y", labelsize=7.5)
    for edge in ("top", "right"):
        axes.spines[edge].set_visible(False)


def _figures(one: YearTotals) -> str:
    lines = []
    if one.out_hours:
        lines.append(f"{one.out_hours / 24:.1f} d")
    if one.visits:
        lines.append(counted(one.visits, "visit"))
    if one.cost:
        lines.append(f"cost {one.cost:.0f}")
    return "\n".join(lines)


def _legend(axes: Axes) -> None:
    from matplotlib.lines import Line2D

    def mark(work: Work, label: str, *, filled: bool = True) -> Line2D:
        shape, size, colour = _WORKS[work]
        return Line2D(
            [],
            [],
            marker=shape,
            color=colour,
            linestyle="",
            markersize=min(size, 6.0),
            markerfacecolor=colour if filled else "white",
            label=label,
        )

    axes.legend(
        handles=[
            mark(Work.RENEWAL, "renewed"),
            mark(Work.RENEWAL, "renewal to come", filled=False),
            mark(Work.CLEANING, "cleaned"),
            mark(Work.CLEANING, "cleaning to come", filled=False),
            mark(Work.INSPECTION, "looked at, or to be"),
        ],
        loc="lower right",
        bbox_to_anchor=(1.0, 1.0),
        ncols=5,
        fontsize=6.6,
        frameon=False,
        handletextpad=0.3,
        columnspacing=1.0,
        borderaxespad=0.1,
    )


def _number(day: dt.date) -> float:
    return float(day.toordinal())
