"""The hours in which nothing rings."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

from finplan.trade.moments import instant_of
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
        start = instant_of(day, quiet_from, zone)
        end = instant_of(last, quiet_until, zone)
        if start <= moment < end:
            return Stretch(start, end)
    return None
