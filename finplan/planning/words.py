"""How a plan speaks: hours in the shop's zone, lengths of time, names of steps."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

from finplan.planning.items import Item
from finplan.trade.finishes import Stage
from finplan.trade.moments import short_moment
from finplan.trade.names import counted


def instant(at_s: float) -> dt.datetime:
    """The instant of a number of seconds since 1970-01-01 UTC."""
    return dt.datetime.fromtimestamp(at_s, dt.UTC)


def hour(at_s: float, zone: ZoneInfo) -> str:
    """Day and hour in the shop's zone, like ``Tue 3 Nov 18:30``."""
    return short_moment(instant(at_s), zone)


def length(seconds: float) -> str:
    """A length of time like ``45 min``, ``3 h 30 min`` or ``2 days 4 h``."""
    minutes = round(seconds / 60)
    days, rest = divmod(minutes, 1440)
    hours, minutes = divmod(rest, 60)
    if days:
        return counted(days, "day") + (f" {hours} h" if hours else "")
    if hours:
        return f"{hours} h" + (f" {minutes} min" if minutes else "")
    return f"{minutes} min"


def named(item: Item) -> str:
    """A step with its batch, and its load where there are several."""
    load = f", load {item.load} of {item.loads}" if item.loads > 1 else ""
    return f"“{item.step.title}” ({item.batch.name}{load})"


def reached(stage: Stage) -> str:
    """A stage as what a surface is: ``dry to recoat``, ``fully cured``."""
    return "fully cured" if stage is Stage.FULL_CURE else stage.value.replace("-", " ")


def binds(by: str) -> str:
    """What holds a plan's date up, as a sentence without its full stop; empty if not known.

    Args:
        by: what a plan says binds its bound.
    """
    return _BINDS.get(by, "")


_BINDS = {
    "hours of work": "the work does not fit into the work hours sooner",
    "dust against wet": "sanding and wet surfaces have to take turns in one space",
    "rack": "the rack has no room for more at once",
    "dust against wet and rack": (
        "sanding and wet surfaces have to take turns, and the rack has no room for more at once"
    ),
    "hours, rack and dust together": "work hours, rack and dust together allow nothing sooner",
}
