"""Keep air so that it can be taken back, by more entries of the air log: nothing is erased."""

from __future__ import annotations

import datetime as dt
import uuid
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from finplan.air.changes import AirChange, AirWord, Instant
from finplan.air.series import AirSource, Reading, series_of
from finplan.services.air import workshop_named
from finplan.services.editing import Edited
from finplan.services.keep import swap_kept, workshop_replanned
from finplan.services.write import moment_after_workshop
from finplan.trade.errors import BadInput
from finplan.trade.moments import say_moment
from finplan.trade.quantities import format_temperature

if TYPE_CHECKING:
    from collections.abc import Sequence

    from finplan.services.session import Session
    from finplan.store.store import Unit
    from finplan.trade.quantities import Units


def keep_air(
    session: Session,
    unit: Unit,
    workshop: str,
    space: str,
    readings: Sequence[Reading],
    source: AirSource,
) -> int:
    """Keep air in the unit of work at hand, and log what that changed.

    Returns:
        How many instants were not known before.
    """
    after = tuple((one.at.timestamp(), *_values(one)) for one in readings)
    known = unit.air.at(workshop, space, source, [at_s for at_s, *_ in after])
    changed = tuple(one for one in after if known.get(one[0]) != one[1:])
    if changed:
        unit.air.add_readings(workshop, space, series_of(readings, source), source)
        before = tuple((at_s, *known[at_s]) for at_s, *_ in changed if at_s in known)
        now = moment_after_workshop(session, unit, workshop)
        unit.air_changes.append(
            AirChange(uuid.uuid4(), workshop, space, source, now, before=before, after=changed)
        )
    return sum(at_s not in known for at_s, *_ in after)


def take_back(session: Session, change: AirChange) -> Edited:
    """Undo what was kept of the air.

    Raises:
        BadInput: some of it was replaced since.
    """
    return _turn(session, change, change.after, change.before, AirWord.UNDONE)


def bring_back(session: Session, change: AirChange) -> Edited:
    """Keep air again that was undone.

    Raises:
        BadInput: something else was kept in its place since.
    """
    return _turn(session, change, change.before, change.after, AirWord.DONE_AGAIN)


def _turn(
    session: Session,
    change: AirChange,
    expected: tuple[Instant, ...],
    wanted: tuple[Instant, ...],
    word: AirWord,
) -> Edited:
    workshop, space, source = change.workshop, change.space, change.source
    instants = [at_s for at_s, *_ in change.after]
    with session.store.unit() as unit:
        known = unit.air.at(workshop, space, source, instants)
        if known != {at_s: (warm, damp) for at_s, warm, damp in expected}:
            raise BadInput(
                f"it cannot be {word.value}: other air was kept for the same hours since; add "
                "the reading as it should be",
                f"{workshop}, {space}",
            )
        unit.air.forget(workshop, space, source, instants)
        unit.air.add_readings(workshop, space, series_of(_readings(wanted), source), source)
        now = moment_after_workshop(session, unit, workshop)
        unit.air_changes.append(
            AirChange(uuid.uuid4(), workshop, space, source, now, word, change.uid)
        )
        shown = swap_kept(unit, workshop)
        unit.commit()
        zone = unit.workshops.get(workshop).zone
    moved = workshop_replanned(session, workshop, shown, undone=True)
    return Edited(workshop, words_of(change, zone, session.units), moved)


def logged(
    session: Session, workshop: str | None
) -> tuple[ZoneInfo, tuple[tuple[dt.datetime, str, str], ...]]:
    """Return a workshop's zone and its air log, the last entry first: when, word, what.

    Args:
        session: the open session.
        workshop: its name; None where there is only one.

    Raises:
        BadInput: no such workshop, or several to choose from.
    """
    with session.store.unit(writes=False) as unit:
        shop = workshop_named(unit, workshop)
        changes = tuple(unit.air_changes.last_first(shop.name))
    kept = {change.uid: change for change in changes}
    told = tuple(
        (
            change.recorded_at,
            change.word.value,
            words_of(kept[change.about or change.uid], shop.zone, session.units),
        )
        for change in changes
    )
    return ZoneInfo(shop.zone), told


def words_of(change: AirChange, zone: str, units: Units) -> str:
    """Return what was kept: ``reading of 18 °C, 55 % in shed, Mon 5 Oct 2026 19:30``."""
    instants = [dt.datetime.fromtimestamp(at_s, dt.UTC) for at_s, *_ in change.after]
    when = say_moment(instants[0], zone)
    if len(instants) == 1:
        _, temperature_c, humidity_percent = change.after[0]
        air = f"{format_temperature(temperature_c, units)}, {humidity_percent:g} %"
        return f"{change.source.value} of {air} in {change.space}, {when}"
    what = "readings" if change.source is AirSource.READING else "forecast values"
    until = say_moment(instants[-1], zone)
    return f"{len(instants)} {what} in {change.space}, {when} to {until}"


def _values(reading: Reading) -> tuple[float, float]:
    return float(reading.temperature_c), float(reading.humidity_percent)


def _readings(instants: tuple[Instant, ...]) -> tuple[Reading, ...]:
    return tuple(
        Reading(dt.datetime.fromtimestamp(at_s, dt.UTC), warm, damp)
        for at_s, warm, damp in instants
    )
