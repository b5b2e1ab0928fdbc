"""A renewal as a project: lift, wash, dry, sand lightly, coat, wipe off, put back, release."""

from __future__ import annotations

import datetime as dt
import math
import uuid
from dataclasses import replace
from typing import TYPE_CHECKING

from finplan.services.air import workshop_named
from finplan.services.projects import check_whole
from finplan.services.upkeep import (
    DRY_BEFORE_HOURS,
    WORK_HOURS,
    WORK_HOURS_PER_M2,
    PieceSeen,
    seen_piece,
)
from finplan.tracking.upkeep.cycle import Work
from finplan.tracking.upkeep.days import instant_of
from finplan.trade.errors import BadInput
from finplan.trade.finishes import Finish, Stage
from finplan.trade.moments import find_zone
from finplan.trade.parts import Face, Part
from finplan.trade.project import Batch, Project
from finplan.trade.steps import Step, StepKind
from finplan.trade.upkeep import Exposure

if TYPE_CHECKING:
    from finplan.services.session import Session
    from finplan.tracking.upkeep.pieces import InstalledPiece
    from finplan.trade.workshop import Workshop

BOARD_MM = (1000.0, 100.0, 20.0)
"""The piece is planned as boards of about this size: only their upper faces are coated."""

_COAT_SHARE = 0.4
"""Share of the work per area that is coating; the rest is sanding. Our own choice."""


def plan_renewal(
    session: Session, name: str, workshop: str | None = None, space: str | None = None
) -> Project:
    """Keep the next renewal of a piece as a project, so that it is planned like new work.

    No work begins before the renewal's day; days blocked for the piece stay the person's to keep.

    Args:
        session: the open session.
        name: the piece.
        workshop: where the hours and the air are taken from; None for the only one.
        space: the space in it where the piece dries; None for its first.

    Raises:
        BadInput: no such piece, workshop or space, or the project is there already.
    """
    seen = seen_piece(session, name)
    with session.store.unit() as unit:
        shop = workshop_named(unit, workshop)
        project = _project(seen, shop, space or shop.spaces[0].name)
        if project.name in unit.projects.names():
            raise BadInput(
                f"this renewal is planned already: see `finplan plan {project.name}`", name
            )
        check_whole(unit, project)
        unit.projects.put(project)
        unit.commit()
    return project


def _project(seen: PieceSeen, shop: Workshop, space: str) -> Project:
    piece = seen.piece
    day = seen.outlook.next(Work.RENEWAL).on
    part = _boards(piece)
    name = f"{piece.name[:50]}-{day:%Y-%m}"
    return Project(
        name=name,
        title=f"Renewal of {piece.title}"[:120],
        workshop=shop.name,
        parts=(part,),
        batches=(Batch("piece", (part.name,), space, renewal_steps(piece, seen.finish)),),
        uid=uuid.uuid5(piece.uid, name),
        begins=instant_of(day, dt.time(), find_zone(piece.zone)),
        invented=piece.invented,
        notes=f"Renewal of the installed piece {piece.name}; record it there when it is done.",
    )


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


def renewal_steps(piece: InstalledPiece, finish: Finish) -> tuple[Step, ...]:
    """Return the steps of one renewal coat."""
    dry = 0.0 if Exposure.INDOORS in piece.exposures else DRY_BEFORE_HOURS.value
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
        wait_hours=dry,
        note="The wood must have dried after washing.",
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
