"""The plan as a picture: one row a load, its coats, how long each dries, and what is done when."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from finplan.planning.plan import Plan, PlannedStep, ProjectReady
from finplan.prints.air_strip import draw_air
from finplan.prints.figures import (
    AN_ESTIMATE,
    DRY_WORK,
    DRYING,
    DUSTY,
    INK,
    PALE_INK,
    WET,
    Kind,
    bytes_of,
    days,
    new_figure,
    number,
    shortened,
    styled,
)
from finplan.trade.moments import short_moment
from finplan.trade.quantities import Units
from finplan.trade.steps import DUSTY_KINDS, WAITING_KINDS, WET_KINDS, Side, StepKind

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from finplan.air.series import AirSeries

_SHAPES = {
    StepKind.PREPARE: "P",
    StepKind.SAND: "^",
    StepKind.SCUFF: "v",
    StepKind.TURN: "D",
    StepKind.ASSEMBLE: "s",
    StepKind.INSTALL: "p",
    StepKind.RELEASE: "*",
}
"""Shapes of the dry work drawn above the coats; dusting and wiping stand with their coat."""

_WIDTH_IN = 11.0
_ROW_IN = 0.62
_AIR_IN = 0.85
_GAP_IN = 0.46
_BEFORE = dt.timedelta(days=2)
_MOST_CURE = 0.4
"""The cure is left out of the picture where it takes more than this share of the work's time."""


@dataclass(frozen=True)
class PlanPicture:
    """What a picture of a plan is made from.

    ``titles``: title by project's name, in the order they stand. ``air``: by space.
    """

    plan: Plan
    titles: Mapping[str, str]
    zone: ZoneInfo
    air: Mapping[str, AirSeries] = field(default_factory=dict)
    units: Units = Units.METRIC


def plan_chart(picture: PlanPicture, kind: Kind) -> bytes:
    """Return the picture of a plan as the bytes of an SVG or PNG file.

    A row for each load of each batch. Coats are numbered discs (a and b where the piece is
    turned); the bar after a disc is the wait of the next step, up to the likely time filled, on
    to the safe time hatched; a bracket is the end of the recoat window. Below, the air of each
    space.
    """
    steps = [step for step in picture.plan.steps if step.project in picture.titles]
    spaces = [space for space in sorted({step.space for step in steps}) if space in picture.air]
    rows = _rows(steps, picture.titles)
    with styled():
        start, end = _span(steps, picture)
        top = max(1.2, _ROW_IN * len(rows))
        drawn = top + _AIR_IN * len(spaces)
        height = 1.25 + drawn + _GAP_IN * len(spaces)
        figure = new_figure(_WIDTH_IN, height)
        grid = figure.add_gridspec(
            1 + len(spaces),
            1,
            height_ratios=[top, *([_AIR_IN] * len(spaces))],
            left=0.14,
            right=0.93,
            top=1 - 0.62 / height,
            bottom=0.6 / height,
            hspace=_GAP_IN * (1 + len(spaces)) / drawn,
        )
        axes = figure.add_subplot(grid[0])
        _draw_rows(axes, rows, picture, start, end)
        for at, space in enumerate(spaces, 1):
            strip = figure.add_subplot(grid[at])
            days(strip, start, end, picture.zone, named=at == len(spaces))
            draw_air(strip, picture.air[space], space, start, end, picture.units)
        one = len(picture.titles) == 1
        title = ", ".join(picture.titles.values() if one else picture.titles)
        figure.text(
            0.02, 1 - 0.3 / height, shortened(title, 90), fontsize=13, weight="bold", va="center"
        )
        figure.text(0.02, 0.12 / height, _foot(picture), fontsize=6.8, color=PALE_INK, va="bottom")
        _legend(axes)
        return bytes_of(figure, kind, f"Plan: {title}")


def _foot(picture: PlanPicture) -> str:
    return (
        f"Planned {short_moment(picture.plan.now, picture.zone)}, times in {picture.zone.key}. "
        f"{AN_ESTIMATE}"
    )


def _rows(
    steps: Sequence[PlannedStep], titles: Mapping[str, str]
) -> list[tuple[str, list[PlannedStep]]]:
    """Return label and steps of each row; joined steps stand with their batch's first load."""
    found: list[tuple[str, list[PlannedStep]]] = []
    for project in titles:
        own = [step for step in steps if step.project == project]
        for batch, load in dict.fromkeys(sorted((step.batch, step.load) for step in own)):
            of_row = [step for step in own if (step.batch, step.load) == (batch, load)]
            label = batch if of_row[0].loads == 1 else f"{batch} {load}/{of_row[0].loads}"
            if len(titles) > 1:
                label = f"{shortened(project, 20)}\n{label}"
            found.append((shortened(label, 42), of_row))
    return found


def _span(steps: Sequence[PlannedStep], picture: PlanPicture) -> tuple[dt.datetime, dt.datetime]:
    """Return the stretch shown: all the work; the cure too where that leaves room for the work."""
    now = picture.plan.now
    first = min([now, *(step.start for step in steps)])
    work = [step.end for step in steps if step.kind not in WAITING_KINDS]
    worked = max([now + dt.timedelta(days=3), *work])
    last = max([worked, *(step.end for step in steps)])
    if last - worked > _MOST_CURE * (worked - first):
        last = worked
    return first - _BEFORE, last + max((last - first) * 0.07, dt.timedelta(days=1))


def _draw_rows(
    axes: Axes,
    rows: list[tuple[str, list[PlannedStep]]],
    picture: PlanPicture,
    start: dt.datetime,
    end: dt.datetime,
) -> None:
    axes.set_ylim(len(rows) - 0.42, -0.6)
    axes.set_yticks(range(len(rows)), [label for label, _ in rows])
    axes.tick_params(axis="y", length=0)
    days(axes, start, end, picture.zone)
    for edge in ("top", "right", "left"):
        axes.spines[edge].set_visible(False)
    waits = {
        step.waits_for.step: step
        for _, of_row in rows
        for step in sorted(of_row, key=lambda one: one.start)
        if step.waits_for is not None and step.kind is not StepKind.RELEASE
    }
    for place, (_, of_row) in enumerate(rows):
        for step in of_row:
            if step.skipped:
                continue
            if step.kind in WET_KINDS:
                _draw_coat(axes, place, step, waits.get(step.id), end)
            elif step.kind in _SHAPES:
                _draw_dry_work(axes, place, step)
    now = number(picture.plan.now)
    axes.axvline(now, color=INK, linewidth=1.2)
    axes.text(now, -0.58, " now", fontsize=7.5, va="top")
    for ready in picture.plan.ready:
        if ready.project in picture.titles:
            _draw_ready(axes, rows, ready, picture)


def _draw_coat(
    axes: Axes, place: int, step: PlannedStep, awaited: PlannedStep | None, edge: dt.datetime
) -> None:
    low = place + 0.16
    if awaited is not None and awaited.waits_for is not None:
        wait = awaited.waits_for
        ended, likely, safe = number(step.end), number(wait.likely), number(wait.safe)
        bar: dict[str, Any] = {"height": 0.2, "align": "center", "edgecolor": WET, "linewidth": 0.5}
        axes.barh(low, likely - ended, left=ended, color=DRYING, zorder=2, **bar)
        axes.barh(low, safe - likely, left=likely, color="white", hatch="/////", zorder=2, **bar)
    letter = {Side.ALL: "", Side.FIRST: "a", Side.SECOND: "b"}[step.side]
    closes = step.window_closes
    coated_again = awaited is not None and awaited.coat > step.coat > 0
    if coated_again and closes is not None and closes < edge:
        axes.text(
            number(closes),
            place - 0.06,
            f"{step.coat}{letter}]",
            color=INK,
            fontsize=7.5,
            ha="right",
            va="center",
            zorder=2.5,
        )
    filled = WET if step.done or step.kind is StepKind.COAT else "white"
    axes.plot(
        number(step.start), low, "o", markersize=13, color=filled, markeredgecolor=WET, zorder=3
    )
    text = f"{step.coat}{letter}" if step.kind is StepKind.COAT else "s"
    axes.text(
        number(step.start),
        low,
        text,
        color="white" if filled == WET else WET,
        fontsize=7,
        weight="bold",
        ha="center",
        va="center_baseline",
        zorder=4,
    )


def _draw_dry_work(axes: Axes, place: int, step: PlannedStep) -> None:
    high = place - 0.22
    colour = DUSTY if step.kind in DUSTY_KINDS else DRY_WORK
    for piece_start, piece_end in step.pieces or ((step.start, step.end),):
        axes.plot(
            number(piece_start + (piece_end - piece_start) / 2),
            high,
            _SHAPES[step.kind],
            markersize=9 if step.kind is StepKind.RELEASE else 6,
            color=colour,
            zorder=3,
        )


def _draw_ready(
    axes: Axes,
    rows: list[tuple[str, list[PlannedStep]]],
    ready: ProjectReady,
    picture: PlanPicture,
) -> None:
    last = max(at for at, (_, own) in enumerate(rows) if own[0].project == ready.project)
    beyond = number(ready.safe) > axes.get_xlim()[1]
    axes.text(
        min(number(ready.safe), axes.get_xlim()[1]),
        last + 0.42,
        f"ready {short_moment(ready.safe, picture.zone)}{' →' if beyond else ''} ",
        fontsize=7.5,
        ha="right",
        va="center",
        weight="bold",
    )


def _legend(axes: Axes) -> None:
    from matplotlib.lines import Line2D
    from matplotlib.patches import Patch

    def mark(shape: str, colour: str, label: str) -> Line2D:
        return Line2D([], [], marker=shape, color=colour, linestyle="", markersize=6, label=label)

    handles = [
        mark("P", DUSTY, "prepare"),
        mark("^", DUSTY, "sand"),
        mark("v", DUSTY, "scuff"),
        mark("o", WET, "coat (s: seal)"),
        Patch(facecolor=DRYING, edgecolor=WET, linewidth=0.5, label="drying, likely"),
        Patch(facecolor="white", edgecolor=WET, hatch="/////", linewidth=0.5, label="… safe"),
        mark("", INK, "1] recoat window of 1 ends"),
        mark("D", DRY_WORK, "turn"),
        mark("s", DRY_WORK, "assemble"),
        mark("p", DRY_WORK, "put in place"),
        mark("*", DRY_WORK, "cured"),
    ]
    axes.legend(
        handles=handles,
        loc="lower right",
        bbox_to_anchor=(1.0, 1.0),
        ncols=len(handles),
        fontsize=6.3,
        frameon=False,
        handletextpad=0.35,
        columnspacing=0.9,
        borderaxespad=0.1,
    )
