"""Air of a space: one reading, a logger's file, what is known over a stretch."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from finplan.services.gather import active_projects, air_between
from finplan.services.reading import read_bytes
from finplan.trade.errors import BadInput
from finplan.trade.moments import say_moment

if TYPE_CHECKING:
    from finplan.air.logger import Gap
    from finplan.air.series import AirSeries, AirSource, Reading
    from finplan.services.session import Session
    from finplan.store.store import Unit
    from finplan.trade.workshop import Workshop


@dataclass(frozen=True, slots=True)
class Kept:
    """What was kept of a reading or a log.

    ``first`` and ``last`` are UTC; ``new`` counts the instants not known before. ``moved``: a
    sentence for each step of the plan that moved.
    """

    workshop: str
    space: str
    first: dt.datetime
    last: dt.datetime
    readings: int
    new: int
    gaps: tuple[Gap, ...] = ()
    warnings: tuple[str, ...] = ()
    moved: tuple[str, ...] = ()


def add_reading(
    session: Session,
    workshop: str | None,
    space: str | None,
    temperature_c: float,
    humidity_percent: float,
    at: dt.datetime | None = None,
) -> Kept:
    """Keep one reading of a space's air.

    Args:
        session: the open session.
        workshop: its name; None where there is only one.
        space: its name; None where the workshop has only one.
        temperature_c: °C.
        humidity_percent: relative humidity, 0 to 100.
        at: when it was read; None for now.

    Raises:
        BadInput: values that no air has, a time to come, an unknown or ambiguous place.
    """
    from finplan.air.series import AirSource, Reading, check_air

    check_air(temperature_c, humidity_percent)
    shop, place = _place(session, workshop, space)
    instant = (at or session.now).astimezone(dt.UTC)
    if instant > session.now:
        when = say_moment(instant, session.zone or shop.zone)
        raise BadInput(f"{when} is still to come: a reading is of the air there was")
    reading = Reading(instant, temperature_c, humidity_percent)
    return _keep(session, shop, place, (reading,), AirSource.READING)


def import_log(
    session: Session,
    workshop: str | None,
    space: str | None,
    path: Path,
    *,
    forecast: bool = False,
    zone: str | None = None,
    month_first: bool | None = None,
) -> Kept:
    """Keep a logger's CSV file, all of it or nothing.

    Args:
        session: the open session.
        workshop: its name; None where there is only one.
        space: its name; None where the workshop has only one.
        path: the file.
        forecast: it tells the air to come, not the air there was.
        zone: IANA zone of times without one; None for the workshop's.
        month_first: how 3/4/2026 is read; None where the file tells.

    Raises:
        BadInput: the file names line and column of the first fault.
    """
    from finplan.air.logger import read_air_log
    from finplan.air.series import AirSource

    content = read_bytes(path)
    shop, place = _place(session, workshop, space)
    latest = None if forecast else session.now
    log = read_air_log(content, path.name, zone or shop.zone, latest, month_first=month_first)
    source = AirSource.FORECAST if forecast else AirSource.READING
    kept = _keep(session, shop, place, log.readings, source)
    return replace(kept, gaps=log.gaps, warnings=log.warnings)


def space_air(
    session: Session,
    workshop: str | None,
    space: str | None,
    start: dt.datetime,
    end: dt.datetime,
) -> AirSeries:
    """Return the air known or expected in a space, every step with its source."""
    with session.store.unit(writes=False) as unit:
        shop = workshop_named(unit, workshop)
        return air_between(unit, shop, space_named(shop, space), (start, end), session.now)


def workshop_named(unit: Unit, name: str | None) -> Workshop:
    """Return the workshop called ``name``, or with None the only one there is.

    Raises:
        BadInput: no such workshop, none at all, or several to choose from.
    """
    if name is not None:
        return unit.workshops.get(name)
    used = {project.workshop for project in active_projects(unit)}
    names = sorted(used) or list(unit.workshops.names())
    if not names:
        raise BadInput("there is no workshop yet: load a project, or try `finplan sample`")
    if len(names) > 1:
        raise BadInput(f"several workshops ({', '.join(names)}): name one with --workshop")
    return unit.workshops.get(names[0])


def space_named(workshop: Workshop, name: str | None) -> str:
    """Return the space called ``name``, or with None the only one the workshop has.

    Raises:
        BadInput: no such space, or several to choose from.
    """
    names = [space.name for space in workshop.spaces]
    if name is None and len(names) == 1:
        return names[0]
    if name in names:
        return name
    fault = f"there is no space {name[:60]!r}" if name is not None else "several spaces"
    raise BadInput(f"{fault}: name one of {', '.join(names)} with --space", workshop.name)


def _place(session: Session, workshop: str | None, space: str | None) -> tuple[Workshop, str]:
    with session.store.unit(writes=False) as unit:
        shop = workshop_named(unit, workshop)
    return shop, space_named(shop, space)


def _keep(
    session: Session,
    shop: Workshop,
    space: str,
    readings: tuple[Reading, ...],
    source: AirSource,
) -> Kept:
    from finplan.services.air_log import keep_air
    from finplan.services.keep import workshop_replanned

    with session.store.unit() as unit:
        new = keep_air(session, unit, shop.name, space, readings, source)
        unit.commit()
    moved = workshop_replanned(session, shop.name)
    first, last = readings[0].at, readings[-1].at
    return Kept(shop.name, space, first, last, len(readings), new, moved=moved)
