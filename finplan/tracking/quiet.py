"""The hours in which nothing rings."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

from finplan.trade.workshop import Stretch

_DAY = dt.timedelta(days=1)


def quiet_stretch(
    moment: dt.datetime, quiet_from: dt.time, quiet_until: dt.time, zone: ZoneInfo
) -> Stretch | None:
    """Return the quiet hours that ``moment`` falls into (UTC), None when it may ring.

    The hours are of the local clock and may run over midnight; equal ones mean none.
    """
    if quiet_from == quiet_until:
        return None
    today = moment.astimezone(zone).date()
    for day in (today - _DAY, today):
        last = day if quiet_from < quiet_until else day + _DAY
        start = dt.datetime.combine(day, quiet_from, zone).astimezone(dt.UTC)
        end = dt.datetime.combine(last, quiet_until, zone).astimezone(dt.UTC)
        if start <= moment < end:
            return Stretch(start, end)
    return None
