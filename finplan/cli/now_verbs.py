"""``now``: what is drying, what comes next, what closes, what is due, and the air."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from finplan.cli import show
from finplan.cli.due_verbs import item_json
from finplan.cli.options import json_option, session, verb
from finplan.cli.output import heading, paragraph, print_json, say
from finplan.trade.quantities import Units, format_temperature

if TYPE_CHECKING:
    from finplan.services.due import DueThing
    from finplan.services.overview import AirNow, Overview
    from finplan.tracking.drying_now import Drying


@verb("now")
@json_option
def now_verb(as_json: bool) -> None:
    """Say what is drying, what comes next, which windows close, what is due, and the air.

    It is of the workshop with the next work, with the upkeep due in two weeks anywhere.
    """
    from finplan.services.due import upkeep_things
    from finplan.services.overview import idle, overview
    from finplan.services.planned import all_planned
    from finplan.services.upkeep import seen_pieces

    with session() as opened:
        upkeep = upkeep_things(opened)
        only_upkeep = not all_planned(opened) and seen_pieces(opened)
        seen = idle(opened) if only_upkeep else overview(opened)
        units = opened.units
    if as_json:
        print_json({**_json(seen), "upkeep": [item_json(one.item) for one in upkeep]})
        return
    zone = ZoneInfo(seen.zone)
    heading(f"{show.moment(seen.now, zone)} ({zone.key})")
    _print_drying(seen, zone)
    _print_work(seen, zone)
    _print_windows(seen, zone)
    _print_upkeep(upkeep)
    _print_air(seen, units)
    for warning in seen.warnings:
        paragraph(warning, "  ", "! ")


def _print_drying(seen: Overview, zone: ZoneInfo) -> None:
    say()
    heading("Drying")
    if not seen.drying:
        say("  nothing")
    for one in seen.drying:
        load = f", load {one.load} of {one.loads}" if one.loads > 1 else ""
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
    following = f"; then: {one.next_title}" if one.next_title else ""
    return f"{reached}{one.goal.value} {safe} safe, {likely} likely{following}"


def _print_work(seen: Overview, zone: ZoneInfo) -> None:
    say()
    heading("Next session")
    if not seen.tonight:
        say("  nothing to do")
    for step in seen.tonight:
        load = f", load {step.load} of {step.loads}" if step.loads > 1 else ""
        lead = f"  {show.moment(step.start, zone)}  "
        minutes = show.duration(step.minutes)
        paragraph(f"{step.title} ({step.batch}{load}), {minutes}", " " * len(lead), lead)
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
