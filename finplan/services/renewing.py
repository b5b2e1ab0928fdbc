"""A renewal as a project: lift, wash, dry, sand lightly, coat, wipe off, put back, release."""

from __future__ import annotations

import datetime as dt
import math
import uuid
from dataclasses import replace
from typing import TYPE_CHECKING

from finplan.planning.hours import SLOT_S
from finplan.planning.walk import slots_for
from finplan.services.upkeep import WORK_HOURS, WORK_HOURS_PER_M2, PieceSeen, seen_piece
from finplan.services.whole import check_whole
from finplan.services.windows import renewal_project, shop_of, tasks_of, window_of
from finplan.tracking.upkeep.pieces import Work, check_in_use
from finplan.tracking.upkeep.wood_dry import usual_dry_hours
from finplan.trade.errors import BadInput
from finplan.trade.finishes import Finish, Stage
from finplan.trade.moments import find_zone, instant_of, say_date
from finplan.trade.parts import Face, Part
from finplan.trade.project import Batch, Project
from finplan.trade.steps import Step, StepKind
from finplan.trade.workshop import Stretch

if TYPE_CHECKING:
    from finplan.services.session import Session
    from finplan.tracking.upkeep.pieces import InstalledPiece
    from finplan.tracking.upkeep.window import Window
    from finplan.trade.workshop import Workshop

BOARD_MM = (1000.0, 100.0, 20.0)
"""The piece is planned as boards of about this size: only their upper faces are coated."""

LEAST_RACK_SHARE = 0.1
"""Rack share of a piece that is renewed where it stands: it hardly needs the rack."""

PLANNED_AHEAD = dt.timedelta(days=300)
"""How far ahead a renewal is planned: within the planner's year, with time to be done in."""

_COAT_SHARE = 0.4
"""Share of the work per area that is coating; the rest is sanding. Our own choice."""


def plan_renewal(
    session: Session, name: str, workshop: str | None = None, space: str | None = None
) -> Project:
    """Keep the next renewal of a piece as a project, so that it is planned like new work.

    Work begins in the best window; where there is none, on the renewal's day.

    Args:
        session: the open session.
        name: the piece.
        workshop: where the hours and the air are taken from; None for the piece's own.
        space: the space in it where the piece dries; None for the piece's own.

    Raises:
        BadInput: no such piece, workshop or space, it is too far ahead, or the project is there
            already.
    """
    from finplan.tracking.upkeep.window import Window

    seen = worked_on_in(seen_piece(session, name), workshop, space)
    check_in_use(seen.piece, seen.entries)
    there = renewal_project(session, seen.piece)
    if there is not None:
        raise BadInput(f"this renewal is planned already: see `finplan plan {there}`", name)
    shop, room = shop_of(session, seen.piece)
    window = window_of(session, seen)
    found = window if isinstance(window, Window) else None
    project = _project(seen, shop, room, found)
    if project.begins is not None and project.begins > session.now + PLANNED_AHEAD:
        zone = find_zone(seen.piece.zone)
        begins, opens = (
            say_date(one.astimezone(zone).date())
            for one in (project.begins, project.begins - PLANNED_AHEAD)
        )
        raise BadInput(
            f"this renewal begins on {begins}, and steps are planned a year ahead at most: plan "
            f"it from {opens} on; `finplan upkeep {name}` shows its best time until then",
            name,
        )
    with session.store.unit() as unit:
        if project.name in unit.projects.names():
            raise BadInput(
                f"this renewal is planned already: see `finplan plan {project.name}`", name
            )
        check_whole(unit, project)
        unit.projects.put(project)
        unit.commit()
    return project


def worked_on_in(seen: PieceSeen, workshop: str | None, space: str | None) -> PieceSeen:
    """Return the piece as if it were worked on in another place; None leaves that as it is."""
    piece = replace(
        seen.piece, workshop=workshop or seen.piece.workshop, space=space or seen.piece.space
    )
    return replace(seen, outlook=replace(seen.outlook, piece=piece))


def _project(seen: PieceSeen, shop: Workshop, space: str, window: Window | None) -> Project:
    piece = seen.piece
    begins = _begins(seen, window)
    if window is None:
        dry = usual_dry_hours(piece, seen.wood, seen.finish)
    else:
        dry = window.dry_hours - slots_for(tasks_of(seen).lift) * SLOT_S / 3600.0
    part = _boards(piece)
    name = f"{piece.name[:50]}-{begins.astimezone(find_zone(piece.zone)):%Y-%m}"
    steps = renewal_steps(piece, seen.finish, dry)
    share = 1.3 if piece.taken_up else LEAST_RACK_SHARE
    return Project(
        name=name,
        title=f"Renewal of {piece.title}"[:120],
        workshop=shop.name,
        parts=(part,),
        batches=(Batch("piece", (part.name,), space, steps, rack_share=share),),
        uid=uuid.uuid5(piece.uid, name),
        begins=begins,
        invented=piece.invented,
        notes=f"Renewal of the installed piece {piece.name}; its end is written in its log.",
        renews=piece.uid,
        blocked=_blocked(piece),
    )


def _blocked(piece: InstalledPiece) -> tuple[Stretch, ...]:
    """Return the days blocked for a piece as stretches of time."""
    zone, midnight = find_zone(piece.zone), dt.time()
    return tuple(
        Stretch(
            instant_of(days.first, midnight, zone),
            instant_of(days.last + dt.timedelta(days=1), midnight, zone),
            days.why,
        )
        for days in piece.blocked
    )


def _begins(seen: PieceSeen, window: Window | None) -> dt.datetime:
    if window is not None:
        return window.start
    day = seen.outlook.next(Work.RENEWAL).on
    return instant_of(day, dt.time(), find_zone(seen.piece.zone))


def _boards(piece: InstalledPiece) -> Part:
    length, width, thickness = BOARD_MM
    count = max(1, math.ceil(piece.area_m2 / (length * width / 1e6) - 1e-9))
    return Part(
        name="boards",
        quantity=count,
        length_mm=length,
        width_mm=piece.area_m2 * 1e6 / count / length,
        thickness_mm=thickness,
        wood="",
        faces=frozenset({Face.TOP}),
    )


def renewal_steps(piece: InstalledPiece, finish: Finish, dry_hours: float) -> tuple[Step, ...]:
    """Return the steps of one renewal coat; the wood dries for ``dry_hours`` after washing."""
    minutes = WORK_HOURS_PER_M2.value * 60.0
    up = f": {piece.taken_up}" if piece.taken_up else ""
    share = WORK_HOURS.value * 60.0 / 4.0
    lift = Step("lift", StepKind.CLEAN, f"Take it up and wash it{up}"[:120], minutes_fixed=share)
    sand = Step(
        "sand",
        StepKind.SAND,
        "Sand lightly",
        minutes_fixed=share,
        minutes_per_m2=minutes * (1.0 - _COAT_SHARE),
        wait_hours=dry_hours,
        note="The wood dries after washing: an estimate; a moisture meter in it decides.",
    )
    clean = Step("clean", StepKind.CLEAN, "Blow and wipe off the dust", minutes_fixed=5.0)
    coat = Step(
        "coat-1",
        StepKind.COAT,
        "Renewal coat",
        coat=1,
        finish=finish.name,
        method=finish.methods[0] if finish.methods else "",
        minutes_fixed=share,
        minutes_per_m2=minutes * _COAT_SHARE,
    )
    wiping: tuple[Step, ...] = ()
    if finish.wipe_off_minutes is not None:
        wipe = replace(coat, key="wipe-off-1", kind=StepKind.WIPE_OFF, method="")
        wiping = (
            replace(
                wipe,
                title="Wipe off what stayed wet",
                minutes_fixed=5.0,
                wait_hours=finish.wipe_off_minutes.low / 60.0,
            ),
        )
    back = Step(
        "install",
        StepKind.INSTALL,
        "Put it back",
        minutes_fixed=share,
        waits_for=Stage.DRY_THROUGH,
    )
    release = Step("release", StepKind.RELEASE, "Back in use", waits_for=Stage.DRY_THROUGH)
    return (lift, sand, clean, coat, *wiping, back, release)
