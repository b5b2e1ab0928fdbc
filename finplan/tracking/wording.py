"""Times, lengths of time and amounts as reminders say them; the same in every locale."""

from __future__ import annotations

import datetime as dt
import math

from finplan.trade.moments import short_date
from finplan.trade.quantities import Units, format_volume


def whole_minute_up(moment: dt.datetime) -> dt.datetime:
    """Return the first whole minute at or after ``moment``, in UTC."""
    moment = moment.astimezone(dt.UTC)
    floor = moment.replace(second=0, microsecond=0)
    return floor if floor == moment else floor + dt.timedelta(minutes=1)


def whole_minute_down(moment: dt.datetime) -> dt.datetime:
    """Return the last whole minute at or before ``moment``, in UTC."""
    return moment.astimezone(dt.UTC).replace(second=0, microsecond=0)


def day_words(moment: dt.datetime, zone: dt.tzinfo) -> str:
    """Return the local day, such as ``Sat 3 Oct``."""
    return short_date(moment.astimezone(zone))


def clock_words(moment: dt.datetime, zone: dt.tzinfo) -> str:
    """Return the local time of day, such as ``18:30``."""
    local = moment.astimezone(zone)
    return f"{local.hour:02}:{local.minute:02}"


def length_words(minutes: float) -> str:
    """Return a length of time, such as ``45 min`` or ``1 h 35 min``."""
    whole = math.ceil(minutes - 1e-9)
    hours, rest = divmod(whole, 60)
    if not hours:
        return f"{rest} min"
    return f"{hours} h {rest} min" if rest else f"{hours} h"


def amount_words(litres: float, units: Units) -> str:
    """Return an amount of finish: millilitres below a litre, or fluid ounces and gallons."""
    if units is Units.IMPERIAL:
        return format_volume(litres, units)
    if litres < 1:
        return f"{max(5, math.ceil(litres * 200 - 1e-9) * 5)} ml"
    return f"{litres:.1f} L"
