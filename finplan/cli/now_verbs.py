"""``now``: what is drying, what comes next, what closes, what is due, and the air."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

import click

from finplan.cli import show
from finplan.cli.due_verbs import item_json
from finplan.cli.options import json_option, session, verb
from finplan.cli.output import heading, paragraph, print_json, say, tied
from finplan.tracking.timers import TimerKind
from finplan.trade.quantities import Units, format_area, format_temperature
from finplan.trade.steps import of_loads

if TYPE_CHECKING:
    import datetime as dt

    from finplan.planning.plan import PlannedStep
    from finplan.services.due import DueThing
    from finplan.services.overview import AirNow, Overview
    from finplan.services.planned import Planned
    from finplan.tracking.drying_now import Drying
    from finplan.tracking.timers import Timer
    from finplan.trade.finishes import Finish


@verb("now")
@click.option("--workshop", metavar="NAME", help="another than the one with the next work")
@json_option
def now_verb(workshop: str | None, as_json: bool) -> None:
    """Say what is drying, what comes next, which windows close, what is due, and the air.

    It is of the workshop with the next work, with the upkeep due in two weeks anywhere. Timers
    tell what runs after a coat: wiping off, pot life, oily rags.
    """
    from finplan.services.due import upkeep_things
    from finplan.services.overview import idle, overview
    from finplan.services.planned import all_planned, planned
    from finplan.services.upkeep import seen_pieces

    with session() as opened:
        upkeep = upkeep_things(opened)
        only_upkeep = workshop is None and not all_planned(opened) and seen_pieces(opened)
        made = None if only_upkeep else planned(opened, workshop=workshop)
        seen = overview(opened, made) if made else idle(opened)
        units = opened.units
    running = _running(made)
    if as_json:
        due = [item_json(one.item) for one in upkeep]
        print_json({**_json(seen), "timers": _timers_json(running), "upkeep": due})
        return
    zone = ZoneInfo(seen.zone)
    at_work = f", {made.workshop.name}" if made else ""
    heading(f"{show.moment(seen.now, zone)} ({zone.key}){at_work}")
    _print_drying(seen, zone)
    _print_timers(running, seen.now, zone)
    _print_work(seen, zone, units)
    _print_windows(seen, zone)
    _print_upkeep(upkeep)
    _print_air(seen, units)
    for warning in seen.warnings:
        paragraph(warning, "  ", "! ")


def _running(made: Planned | None) -> tuple[Timer, ...]:
    from finplan.tracking.timers import timers

    if made is None:
        return ()

    def finish_of(step: PlannedStep) -> Finish | None:
        return made.finishes.get(made.step_as_made(step).finish or "")

    return timers(made.plan.steps, finish_of, made.plan.now)


def _print_timers(running: tuple[Timer, ...], now: dt.datetime, zone: ZoneInfo) -> None:
    if not running:
        return
    say()
    heading("Timers")
    for timer in running:
        step = timer.step
        if timer.kind is TimerKind.WIPE_OFF and timer.latest is not None:
            late = ", late" if timer.latest <= now else ""
            span = show.span(timer.rings, timer.latest, zone)
            words = f"wipe off what {step.title} ({step.batch}) left wet: {span}{late}"
        elif timer.kind is TimerKind.POT_LIFE:
            ended = "ended" if timer.rings <= now else "ends"
            words = f"the pot of {timer.finish.title} {ended} {show.clock(timer.rings, zone)}"
        else:
            where = "under water in a closed metal can, or flat outdoors"
            words = f"rags of {timer.finish.title}: {where}, now"
        paragraph(words, "    ", "  ")


def _timers_json(running: tuple[Timer, ...]) -> list[dict[str, Any]]:
    return [
        {
            "kind": timer.kind.value,
            "step": timer.step.id,
            "finish": timer.finish.name,
            "rings": show.iso(timer.rings),
            "latest": show.iso(timer.latest),
        }
        for timer in running
    ]


def _print_drying(seen: Overview, zone: ZoneInfo) -> None:
    say()
    heading("Drying")
    if not seen.drying:
        say("  nothing")
    for one in seen.drying:
        load = of_loads(one.load, one.loads)
        paragraph(
            f"{one.title} ({one.batch}{load}): {one.safe_share:.0%} of the way to {one.goal.value}",
            "    ",
            "  ",
        )
        paragraph(_drying_words(one, zone), "    ", "    ")


def _drying_words(one: Drying, zone: ZoneInfo) -> str:
    safe = show.moment(one.safe, zone) if one.safe else "never"
    likely = show.moment(one.likely, zone) if one.likely else "never"
    reached = f"{one.reached[-1].value} by now (safe); " if one.reached else ""
    later = "".join(
        f"; {time.stage.value} {show.moment(time.safe, zone)} safe"
        for time in one.stages
        if time.safe and time.stage is not one.goal and time.stage not in one.reached
    )
    following = f"; then: {one.next_title}" if one.next_title else ""
    return f"{reached}{one.goal.value} {safe} safe, {likely} likely{later}{following}"


def _print_work(seen: Overview, zone: ZoneInfo, units: Units) -> None:
    say()
    heading("Next session")
    if not seen.tonight:
        say("  nothing to do")
    for step in seen.tonight:
        load = of_loads(step.load, step.loads)
        lead = f"  {show.moment(step.start, zone)}  "
        minutes = tied(show.duration(step.minutes))
        area = f", {tied(format_area(step.area_m2, units))}" if step.area_m2 else ""
        where = f"{step.project}: {step.batch}{load}"
        paragraph(f"{step.title} ({where}), {minutes}{area}", " " * len(lead), lead)
    if seen.overdue:
        say()
        heading("Overdue")
    for item in seen.overdue:
        paragraph(f"{item.what}, was planned {show.moment(item.at, zone)}", "    ", "  ")


def _print_windows(seen: Overview, zone: ZoneInfo) -> None:
    if not seen.windows:
        return
    say()
    heading("Recoat windows")
    for window in seen.windows:
        step = window.next_step
        closes = show.moment(window.closes, zone)
        if window.closes <= seen.now:
            stretch = f"closed {closes}, scuff first"
        elif window.never_open:
            stretch = f"closes {closes} before it is safe, scuff first"
        else:
            stretch = f"{show.moment(window.opens, zone)} safe to {closes}"
        paragraph(f"{step.title} ({step.batch}): {stretch}", "    ", "  ")


def _print_upkeep(upkeep: tuple[DueThing, ...]) -> None:
    if not upkeep:
        return
    say()
    heading("Upkeep")
    for one in upkeep:
        item = one.item
        when = f"{show.moment(item.at, one.zone)} until {show.moment(item.until, one.zone)}"
        paragraph(f"{item.what} ({item.project}), {item.state.value}: {when}", "    ", "  ")


def _print_air(seen: Overview, units: Units) -> None:
    if not seen.air:
        return
    say()
    heading("Air")
    for air in seen.air:
        paragraph(_air_words(air, units), "    ", "  ")
        for advice in air.advice:
            word = "may go on" if advice.allowed else "not now"
            reasons = f": {'; '.join(advice.reasons)}" if advice.reasons else ""
            paragraph(f"{advice.finish} {word}{reasons}", "      ", "    ")


def _air_words(air: AirNow, units: Units) -> str:
    return (
        f"{air.space}: {format_temperature(air.temperature_c, units)}, "
        f"{air.humidity_percent:.0f} % RH, dew point {format_temperature(air.dew_point_c, units)}, "
        f"wood goes to {air.emc_percent:.1f} % ({air.source})"
    )


def _json(seen: Overview) -> dict[str, Any]:
    return {
        "now": show.iso(seen.now),
        "drying": [
            {
                "step": one.step,
                "stage": one.goal.value,
                "fraction": round(one.safe_share, 4),
                "likely": show.iso(one.likely),
                "safe": show.iso(one.safe),
                "window_closes": show.iso(one.window_closes),
            }
            for one in seen.drying
        ],
        "next_session": [step.id for step in seen.tonight],
        "overdue": [f"{i.project}/{i.batch}/{i.load}/{i.step}" for i in seen.overdue],
        "windows": [
            {"step": w.next_step.id, "opens": show.iso(w.opens), "closes": show.iso(w.closes)}
            for w in seen.windows
        ],
        "air": [
            {
                "space": air.space,
                "temperature_c": round(air.temperature_c, 2),
                "relative_humidity": round(air.humidity_percent, 1),
                "source": air.source,
                "finishes": {one.finish: one.allowed for one in air.advice},
            }
            for air in seen.air
        ],
        "warnings": list(seen.warnings),
    }
