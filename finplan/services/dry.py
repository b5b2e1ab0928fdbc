"""When a coat put on at some moment reaches each stage."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from finplan.services.air import space_air, space_named, workshop_named
from finplan.services.gather import AIR_AHEAD, AIR_BEFORE, all_finishes
from finplan.services.learned import learned_in
from finplan.services.reading import read_bytes
from finplan.services.what_if import WhatIf
from finplan.services.when import system_zone
from finplan.tracking.reminder import GOVERNS
from finplan.trade.cautions import cautions_for
from finplan.trade.errors import BadInput
from finplan.trade.finishes import STAGE_ORDER, Stage
from finplan.trade.moments import instant_or_none, say_moment
from finplan.trade.quantities import Units, degrees_in, format_temperature
from finplan.trade.steps import Step, StepKind

if TYPE_CHECKING:
    from finplan.air.series import AirSeries
    from finplan.drying.advice import Advice
    from finplan.drying.clock import DryingClock
    from finplan.services.session import Session
    from finplan.store.store import Unit
    from finplan.trade.cautions import Caution
    from finplan.trade.finishes import Finish
    from finplan.trade.workshop import Workshop

NOTHING_CHANGED = WhatIf()


@dataclass(frozen=True, slots=True)
class StageAnswer:
    """A stage: safe hours at 23 °C and 50 %, and when it is reached (None: never)."""

    stage: Stage
    reference_hours: float
    likely: dt.datetime | None
    safe: dt.datetime | None


@dataclass(frozen=True, slots=True)
class DryAnswer:
    """What is to be known of a coat that ends at ``start``; instants aware UTC.

    ``verdict``: ``go``, ``wait`` or ``no`` for a coat at ``start``; ``good_hours``: when one may go
    on in the 72 hours after. ``learned``: what the room's dryness checks say of the finish;
    empty where none were made.
    """

    finish: Finish
    start: dt.datetime
    air_words: str
    zone: ZoneInfo
    stages: tuple[StageAnswer, ...]
    window_closes: dt.datetime | None
    warnings: tuple[str, ...]
    cautions: tuple[Caution, ...]
    verdict: str
    good_hours: tuple[tuple[dt.datetime, dt.datetime], ...]
    learned: str = ""

    @property
    def closing_line(self) -> str:
        """What every estimate ends with."""
        return GOVERNS

    @property
    def recoat(self) -> StageAnswer | None:
        """The stage the next coat waits for, None where the finish has none."""
        return next((one for one in self.stages if one.stage is Stage.DRY_TO_RECOAT), None)

    @property
    def in_one_line(self) -> str:
        """When the next coat may go on, safe and likely, in the place's time."""
        ends = f"coat ends {say_moment(self.start, self.zone)}"
        recoat = self.recoat
        if recoat is None or recoat.safe is None or recoat.likely is None:
            return f"{self.finish.title}, {ends}: it never gets dry to recoat in this air"
        hours = (recoat.safe - self.start).total_seconds() / 3600
        safe, likely = (say_moment(at, self.zone) for at in (recoat.safe, recoat.likely))
        return (
            f"{self.finish.title}, {ends}: next coat from {safe} on, safe ({hours:.0f} h); "
            f"likely from {likely}"
        )


def dry(  # noqa: PLR0913 - the parts of one question
    session: Session,
    finish: str,
    start: dt.datetime | None = None,
    *,
    constant: tuple[float, float] | None = None,
    air_file: Path | None = None,
    workshop: str | None = None,
    space: str | None = None,
    what_if: WhatIf = NOTHING_CHANGED,
    wood_percent: float | None = None,
) -> DryAnswer:
    """Return when a coat reaches each stage, likely and safe.

    Args:
        session: the open session.
        finish: the finish's name.
        start: the end of the coat; None for now.
        constant: temperature in °C and relative humidity in %; the air stays so.
        air_file: a logger's CSV file; its last reading holds on.
        workshop: its name, for ``space``; None where there is only one.
        space: a room of the workshop, with its readings, forecast and normals.
        what_if: changes of the air or the film.
        wood_percent: the wood by a moisture meter; None estimates it from the air before.

    With neither air, file nor room the air is that of stated times, 23 °C and 50 %.

    Raises:
        BadInput: an unknown finish or room, an unreadable file, air given twice.
    """
    from finplan.drying.advice import advice
    from finplan.drying.bands import BOOK_QUANTILE
    from finplan.drying.clock import clock_for
    from finplan.library.load import find_finish

    if sum(one is not None for one in (constant, air_file, space)) > 1:
        raise BadInput("give one of constant air, a file or a room, not several", "air")
    with session.store.unit(writes=False) as unit:
        found = find_finish(finish, all_finishes(unit))
        shop = _shop(unit, workshop, needed=space is not None)
        room = (shop, space_named(shop, space)) if shop and space is not None else None
        taught = learned_in(unit, room[0], session.now) if room else {}
    belief = taught.get((found.name, room[1])) if room else None
    begins = (start or session.now).astimezone(dt.UTC)
    zone = ZoneInfo(session.zone or (shop.zone if shop else system_zone()))
    quantile = shop.safe_quantile if shop else BOOK_QUANTILE
    air, words = _air(session, begins, zone, constant, air_file, room)
    air = what_if.air(air)
    band = belief.band if belief else None
    clock = clock_for(found, air, band, quantile, what_if.film_multiplier())
    begins_s = begins.timestamp()
    closes = instant_or_none(float(clock.window_closes(begins_s)))
    recoat = instant_or_none(float(clock.ready(begins_s, Stage.DRY_TO_RECOAT)))
    told = advice(found, air, begins_s, wood_percent=wood_percent, units=session.units)
    return DryAnswer(
        finish=found,
        start=begins,
        air_words=words + what_if.words(session.units),
        zone=zone,
        stages=tuple(
            _stage(clock, stage, begins_s) for stage in STAGE_ORDER if stage in found.stages
        ),
        window_closes=closes if recoat else None,
        warnings=told_by(told, session.units) + _told_ahead(clock, begins_s, zone, session.units),
        cautions=_cautions(found),
        verdict=told.verdict.value,
        good_hours=tuple((_utc(good.start_s), _utc(good.end_s)) for good in told.good_hours),
        learned=belief.say(found.title) if belief else "",
    )


def _utc(seconds: float) -> dt.datetime:
    return dt.datetime.fromtimestamp(seconds, dt.UTC)


def told_by(found: Advice, units: Units) -> tuple[str, ...]:
    """Return an advice in sentences with sources: what forbids a coat, then what only warns."""
    return tuple(
        f"{reason.sentence} ({degrees_in(reason.source, units)})"
        for reason in (*found.reasons, *found.cautions)
    )


def _told_ahead(
    clock: DryingClock, begins_s: float, zone: ZoneInfo, units: Units
) -> tuple[str, ...]:
    """Return what may spoil the coat while it dries, with the hour in the place's time."""
    from finplan.drying.spoiling import spoiling

    return tuple(
        f"{say_moment(_utc(danger.at_s), zone)}: {danger.sentence}"
        for danger in spoiling(clock, begins_s, units=units)
        if danger.at_s > begins_s  # at the start the advice says it
    )


def _shop(unit: Unit, name: str | None, *, needed: bool) -> Workshop | None:
    """Return the workshop asked for, or the only one.

    None where none was asked for, none is ``needed``, and there is none or several.
    """
    try:
        return workshop_named(unit, name)
    except BadInput:
        if needed or name is not None:
            raise
        return None


def _stage(clock: DryingClock, stage: Stage, begins_s: float) -> StageAnswer:
    return StageAnswer(
        stage,
        clock.finish.stages[stage].high,
        instant_or_none(float(clock.likely(begins_s, stage))),
        instant_or_none(float(clock.ready(begins_s, stage))),
    )


def _air(
    session: Session,
    begins: dt.datetime,
    zone: ZoneInfo,
    given: tuple[float, float] | None,
    air_file: Path | None,
    room: tuple[Workshop, str] | None,
) -> tuple[AirSeries, str]:
    """Return the air asked for and what to call it."""
    from finplan.air.series import constant
    from finplan.drying.arrhenius import REFERENCE_C, REFERENCE_PERCENT

    if air_file is not None:
        return _air_of_file(air_file, begins, zone)
    if room is not None:
        shop, space = room
        air = space_air(session, shop.name, space, begins - AIR_BEFORE, begins + AIR_AHEAD)
        return air, f"the air of {space} as known and expected"
    temperature_c, humidity_percent = given or (REFERENCE_C, REFERENCE_PERCENT)
    warmth = format_temperature(temperature_c, session.units)
    words = f"constant air of {warmth} and {humidity_percent:g} % RH"
    return constant(temperature_c, humidity_percent), words


def _air_of_file(path: Path, begins: dt.datetime, zone: ZoneInfo) -> tuple[AirSeries, str]:
    from finplan.air.logger import read_air_log
    from finplan.air.series import series_of

    log = read_air_log(read_bytes(path), path.name, zone.key)
    first, last = log.readings[0].at, log.readings[-1].at
    if not first <= begins <= last:
        raise BadInput(
            f"holds the air from {say_moment(first, zone)} to {say_moment(last, zone)}: give a "
            "--start within it",
            path.name,
        )
    words = f"the air of {path.name}; after its last reading that one holds on"
    return series_of(log.readings), words


def _cautions(finish: Finish) -> tuple[Caution, ...]:
    """Return what to mind of a finish at its first step and at a coat."""
    from finplan.library.load import cautions

    said = [
        caution
        for kind in (StepKind.SEAL, StepKind.COAT)
        for caution in cautions_for(
            Step(key=kind.value, kind=kind, title="", coat=1, finish=finish.name),
            finish,
            cautions(),
        )
    ]
    return tuple(dict.fromkeys(said))
