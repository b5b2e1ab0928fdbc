"""How one coat dries: the share of the way to a stage, likely and safe, in the air there is."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from finplan.prints.air_strip import draw_air
from finplan.prints.figures import (
    AN_ESTIMATE,
    INK,
    PALE_INK,
    WET,
    Kind,
    bytes_of,
    days,
    new_figure,
    number,
    styled,
)
from finplan.trade.errors import BadInput
from finplan.trade.finishes import STAGE_ORDER, Stage
from finplan.trade.moments import short_moment
from finplan.trade.quantities import Units

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from finplan.drying.clock import DryingClock

_POINTS = 240
_MOST_DAYS = 120


@dataclass(frozen=True)
class DryingPicture:
    """What a picture of a drying coat is made from.

    ``ended``: the end of the coat, aware. ``stage``: what the share is of.
    """

    title: str
    clock: DryingClock
    space: str
    ended: dt.datetime
    now: dt.datetime
    zone: ZoneInfo
    stage: Stage = Stage.DRY_TO_RECOAT
    units: Units = Units.METRIC


def drying_chart(picture: DryingPicture, kind: Kind) -> bytes:
    """Return the picture of a drying coat as the bytes of an SVG or PNG file.

    Raises:
        BadInput: the finish never reaches the stage, or not within 120 days.
    """
    start = picture.ended
    safe_s = picture.clock.ready(start.timestamp(), picture.stage)
    if not math.isfinite(safe_s) or safe_s - start.timestamp() > _MOST_DAYS * 86400.0:
        raise BadInput(
            f"{picture.clock.finish.name} is not {picture.stage.value} within {_MOST_DAYS} days "
            "in this air: there is no curve to draw",
            picture.title,
        )
    length = dt.timedelta(seconds=max(3600.0, safe_s - start.timestamp()))
    end = start + length * 1.12
    with styled():
        figure = new_figure(9.0, 4.6)
        grid = figure.add_gridspec(
            2, 1, height_ratios=[2.6, 1], left=0.09, right=0.92, top=0.83, bottom=0.15, hspace=0.34
        )
        axes = figure.add_subplot(grid[0])
        _draw_shares(axes, picture, start, end)
        strip = figure.add_subplot(grid[1])
        days(strip, start, end, picture.zone)
        draw_air(strip, picture.clock.air, picture.space, start, end, picture.units)
        figure.text(0.02, 0.955, picture.title, fontsize=12, weight="bold", va="center")
        figure.text(0.02, 0.9, _sentence(picture), fontsize=8, color=PALE_INK, va="center")
        figure.text(
            0.02,
            0.025,
            AN_ESTIMATE,
            fontsize=6.8,
            color=PALE_INK,
        )
        return bytes_of(figure, kind, f"Drying: {picture.title}")


def _sentence(picture: DryingPicture) -> str:
    ended_s = picture.ended.timestamp()
    likely = _instant(picture.clock.likely(ended_s, picture.stage))
    safe = _instant(picture.clock.ready(ended_s, picture.stage))
    zone = picture.zone
    return (
        f"{picture.stage.value.capitalize()}: likely {short_moment(likely, zone)}, safe "
        f"{short_moment(safe, zone)}, coated until {short_moment(picture.ended, zone)}, "
        f"times in {zone.key}."
    )


def _draw_shares(axes: Axes, picture: DryingPicture, start: dt.datetime, end: dt.datetime) -> None:
    days(axes, start, end, picture.zone, named=False)
    begin_s = start.timestamp()
    instants = [begin_s + i * (end.timestamp() - begin_s) / _POINTS for i in range(_POINTS + 1)]
    reached = [picture.clock.progress(begin_s, at_s, picture.stage) for at_s in instants]
    at_days = [at_s / 86400.0 for at_s in instants]
    axes.plot(at_days, [100 * one.likely_share for one in reached], color=WET, linestyle="--")
    axes.plot(at_days, [100 * one.safe_share for one in reached], color=WET, linewidth=2)
    axes.set_ylim(0, 112)
    axes.set_yticks([0, 25, 50, 75, 100])
    axes.set_ylabel(f"% of the way to {picture.stage.value}", fontsize=8)
    for edge in ("top", "right"):
        axes.spines[edge].set_visible(False)
    likely = number(_instant(picture.clock.likely(begin_s, picture.stage)))
    safe = number(_instant(picture.clock.ready(begin_s, picture.stage)))
    axes.text(likely, 102, "likely", fontsize=7.5, color=WET, ha="right")
    axes.text(safe, 102, "safe", fontsize=7.5, color=WET, weight="bold", ha="center")
    _draw_stages(axes, picture, begin_s)
    if start < picture.now < end:
        axes.axvline(number(picture.now), color=INK, linewidth=1.2)
        axes.text(number(picture.now), 2, " now", fontsize=7.5)


def _draw_stages(axes: Axes, picture: DryingPicture, begin_s: float) -> None:
    """Mark on the safe curve where the stages before are reached."""
    for stage in STAGE_ORDER[: STAGE_ORDER.index(picture.stage)]:
        at_s = picture.clock.ready(begin_s, stage)
        if not math.isfinite(at_s):
            continue
        share = 100 * picture.clock.progress(begin_s, at_s, picture.stage).safe_share
        axes.plot(at_s / 86400.0, share, "o", color=WET, markersize=4)
        axes.annotate(
            stage.value,
            (at_s / 86400.0, share),
            xytext=(6, -9),
            textcoords="offset points",
            fontsize=7,
        )


def _instant(at_s: float) -> dt.datetime:
    return dt.datetime.fromtimestamp(at_s, dt.UTC)
