"""Moments of drying to be told of: when the next step may follow, and when it is too late."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from finplan.planning.hours import SLOT_S, axis_of
from finplan.planning.plan import PlannedStep
from finplan.tracking.reminder import Reminder, Role
from finplan.tracking.scene import Scene
from finplan.tracking.surfaces import is_scuffed_for, loads_of, surfaces_of
from finplan.tracking.wording import day_words, length_words
from finplan.trade.moments import short_moment
from finplan.trade.steps import StepKind

DEADLINE_BLOCK = dt.timedelta(minutes=15)
"""A deadline is shown as a block of this length that ends at it."""

NO_WINDOW_LEAD = dt.timedelta(hours=24)
"""How long before a deadline to ring when no work window is left before it (our choice)."""


def recoat_reminders(scene: Scene) -> Iterator[Reminder]:
    """Yield when each next coat may go on (safe), and until when it may without scuffing."""
    stretches = _work_stretches(scene)
    for below, above in surfaces_of(scene.plan):
        if above.done:
            continue
        yield from _opens(scene, below, above)
        yield from _closes(scene, below, above, stretches)
        if below.done:
            yield from _check_wanted(scene, below, above)


def handling_reminders(scene: Scene) -> Iterator[Reminder]:
    """Yield wipe-offs, and when a load may be turned or assembled (safe)."""
    for steps in loads_of(scene.plan):
        coat: PlannedStep | None = None
        for planned in steps:
            if planned.kind is StepKind.COAT:
                coat = planned
            if planned.done:
                continue
            if planned.kind is StepKind.WIPE_OFF and coat is not None:
                yield _wipe(scene, coat, planned)
            elif planned.kind is StepKind.TURN:
                yield from _may_begin(scene, planned, Role.TURN, "may be turned")
            elif planned.kind is StepKind.ASSEMBLE:
                yield from _may_begin(scene, planned, Role.ASSEMBLE, "dry enough to assemble")


def cured_reminders(scene: Scene) -> Iterator[Reminder]:
    """Yield, for each project, when it may be put to use (safe)."""
    for ready in scene.plan.ready:
        releases = [
            planned
            for planned in scene.plan.steps
            if planned.project == ready.project and planned.kind is StepKind.RELEASE
        ]
        left = [planned for planned in releases if not planned.done]
        if left:
            last = max(left, key=lambda planned: (planned.end, planned.id))
            batches = ", ".join(dict.fromkeys(planned.batch for planned in releases))
            likely, safe = (short_moment(at, scene.zone) for at in (ready.likely, ready.safe))
            lines = [f"Cured ({batches}): likely {likely}, safe {safe}."]
            if ready.in_service_by is not None:
                noon = dt.datetime.combine(ready.in_service_by, dt.time(12), scene.zone)
                lines.append(f"Wanted in service by {day_words(noon, scene.zone)}.")
            stretch = (ready.safe, ready.safe + DEADLINE_BLOCK)
            yield scene.reminder(
                Role.CURED, last, "cured, may be put to use (safe)", lines, stretch, ready.safe
            )


def _work_stretches(scene: Scene) -> list[tuple[dt.datetime, int]]:
    """Return begin and number of quarter hours of every work stretch to the last window's end."""
    now = scene.plan.now
    closes = [step.window_closes for step in scene.plan.steps if step.window_closes is not None]
    axis = axis_of(scene.request.workshop.people, scene.zone, now, max([now, *closes]))
    stretches: list[tuple[dt.datetime, int]] = []
    for slot, begins in enumerate(axis.starts):
        if slot and axis.end_s(slot - 1) == begins:
            stretches[-1] = (stretches[-1][0], stretches[-1][1] + 1)
        else:
            stretches.append((dt.datetime.fromtimestamp(begins, dt.UTC), 1))
    return stretches


def _opens(scene: Scene, below: PlannedStep, above: PlannedStep) -> Iterator[Reminder]:
    wait = above.waits_for
    if wait is None:
        return
    lines = [
        f"{_name(above)}: {wait.stage.value} likely {short_moment(wait.likely, scene.zone)}, "
        f"safe {short_moment(wait.safe, scene.zone)}.",
        _planned_words(scene, above),
    ]
    end = above.start
    if below.window_closes is not None:
        closes = short_moment(below.window_closes, scene.zone)
        lines.append(f"Without scuffing it may go on until {closes}.")
        end = max(end, below.window_closes)
    elif is_scuffed_for(scene.plan, above):
        lines.append("The scuffing for it is recorded: no recoat window closes any more.")
    stretch = (wait.safe, max(end, wait.safe + DEADLINE_BLOCK))
    title = f"{_name(above)} may go on (safe)"
    yield scene.reminder(Role.RECOAT_OPENS, above, title, lines, stretch, wait.safe)


def _closes(
    scene: Scene, below: PlannedStep, above: PlannedStep, stretches: list[tuple[dt.datetime, int]]
) -> Iterator[Reminder]:
    closes = below.window_closes
    if closes is None:
        return
    lead = dt.timedelta(minutes=scene.settings.window_lead_minutes)
    chance = _last_chance(stretches, above, closes)
    lines = [f"{_name(above)} goes on without scuffing until {short_moment(closes, scene.zone)}."]
    if chance is None:
        lines.append("No work window is left before that: make time, or scuff first.")
        alarm_at = closes - NO_WINDOW_LEAD
    else:
        lines.append(f"The last work window before that begins {short_moment(chance, scene.zone)}.")
        alarm_at = chance - lead
    lines.append(_planned_words(scene, above))
    stretch = (closes - DEADLINE_BLOCK, closes)
    title = f"last call for {_name(above)}: the recoat window closes"
    yield scene.reminder(Role.RECOAT_CLOSES, above, title, lines, stretch, alarm_at)


def _last_chance(
    stretches: list[tuple[dt.datetime, int]], above: PlannedStep, closes: dt.datetime
) -> dt.datetime | None:
    """Return when the last work stretch long enough for a coat begins before a window closes."""
    needed = -(-int(above.minutes * 60) // SLOT_S)
    for begins, slots in reversed(stretches):
        if begins < closes and slots >= needed:
            return begins
    return None


def _check_wanted(scene: Scene, below: PlannedStep, above: PlannedStep) -> Iterator[Reminder]:
    wait = above.waits_for
    apart = dt.timedelta(minutes=scene.settings.check_if_apart_minutes)
    if wait is None or wait.safe - wait.likely < apart:
        return
    lines = [
        f"{_name(below)} is likely {wait.stage.value} from "
        f"{short_moment(wait.likely, scene.zone)}, "
        f"safe from {short_moment(wait.safe, scene.zone)}.",
        "Press a clean finger on a hidden spot and record what you find: the next coat may come "
        "sooner, and finplan learns this finish in your shop.",
    ]
    stretch = (wait.likely, wait.safe)
    title = f"is {_name(below)} dry? (likely)"
    yield scene.reminder(Role.CHECK, below, title, lines, stretch, wait.likely)


def _may_begin(scene: Scene, planned: PlannedStep, role: Role, words: str) -> Iterator[Reminder]:
    wait = planned.waits_for
    if wait is None:
        return
    lines = [
        f"{_name(planned)}: {wait.stage.value} likely {short_moment(wait.likely, scene.zone)}, "
        f"safe {short_moment(wait.safe, scene.zone)}.",
        _planned_words(scene, planned),
    ]
    stretch = (wait.safe, max(planned.start, wait.safe + DEADLINE_BLOCK))
    yield scene.reminder(
        role, planned, f"{planned.batch} {words} (safe)", lines, stretch, wait.safe
    )


def _wipe(scene: Scene, coat: PlannedStep, wipe: PlannedStep) -> Reminder:
    finish = scene.finish_of(coat)
    span = finish.wipe_off_minutes if finish is not None else None
    end = wipe.end
    lines = [
        f"{_name(wipe)}: wipe off all that stands on the surface, until it is dry to look at.",
        _planned_words(scene, wipe),
    ]
    if span is not None:
        end = max(wipe.start, coat.end + dt.timedelta(minutes=span.high))
        lines.append(
            f"Between {span.low:g} and {span.high:g} minutes after the coat; what gels is hard to "
            "get off."
        )
    stretch = (wipe.start, end)
    return scene.reminder(Role.WIPE_OFF, wipe, f"wipe off {wipe.batch}", lines, stretch, wipe.start)


def _planned_words(scene: Scene, planned: PlannedStep) -> str:
    when = short_moment(planned.start, scene.zone)
    return f"Planned for {when}, takes {length_words(planned.minutes)}."


def _name(planned: PlannedStep) -> str:
    load = f" load {planned.load} of {planned.loads}" if planned.loads > 1 else ""
    return f"{planned.title}, {planned.batch}{load}"
