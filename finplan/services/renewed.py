"""A renewal that was planned as a project and is finished goes into its piece's log by itself."""

from __future__ import annotations

import datetime as dt
import uuid
from typing import TYPE_CHECKING

from finplan.journal.fold import progress, recorded_itself
from finplan.services.steps import undated_steps
from finplan.tracking.upkeep.pieces import UpkeepEntry, UpkeepKind, standing
from finplan.trade.steps import JOINING_KINDS, WAITING_KINDS, WET_KINDS

if TYPE_CHECKING:
    from finplan.journal.entries import Entry
    from finplan.journal.progress import Progress
    from finplan.store.store import Unit
    from finplan.trade.project import Project

Told = tuple[dt.datetime, float | None]
"""When the last coat ended, and the litres that went on; None where nobody noted them."""


def keep_log_of(
    unit: Unit, project: Project, before: tuple[Entry, ...], after: tuple[Entry, ...], by: str = ""
) -> str:
    """Write a renewal into the piece's log once its project is finished, and take it back by undo.

    Args:
        unit: the unit of work the journal was written in.
        project: the project; nothing happens unless it renews a piece that is still there.
        before: its journal as it was.
        after: its journal as it is now.
        by: who recorded it.

    Returns:
        A sentence on what was written, '' where nothing was.
    """
    if project.renews is None:
        return ""
    was, told = (_finished(project, progress(one, project)) for one in (before, after))
    piece = next((one for one in unit.pieces.list() if one.uid == project.renews), None)
    if was == told or piece is None:
        return ""
    now = after[-1].recorded_at
    written = [one for one in standing(unit.upkeep.of(piece)) if one.renewal == project.uid]
    for entry in written:
        unit.upkeep.append(
            piece,
            UpkeepEntry(
                uuid.uuid4(), piece.name, UpkeepKind.UNDONE, now, now, by=by, about=entry.uid
            ),
        )
    if told is None:
        return f"taken back from the log of {piece.name}" if written else ""
    at, litres = told
    unit.upkeep.append(
        piece,
        UpkeepEntry(
            uuid.uuid4(),
            piece.name,
            UpkeepKind.RENEWED,
            at,
            now,
            by=by,
            litres=litres,
            note=f"by the project {project.name}",
            renewal=project.uid,
        ),
    )
    return f"written in the log of {piece.name}: its next dates count from this coat"


def is_finished(project: Project, facts: Progress) -> bool:
    """Say whether everything that takes hands is done, or left out."""
    return _finished(project, facts) is not None


def _finished(project: Project, facts: Progress) -> Told | None:
    """Return what a renewal that is finished tells, None while hands-on work is left."""
    steps = [
        step
        for step in undated_steps(project, facts, dt.datetime.max.replace(tzinfo=dt.UTC))
        if step.kind not in WAITING_KINDS and (step.load == 1 or step.kind not in JOINING_KINDS)
    ]
    if not steps or not all(step.done for step in steps):
        return None
    coats = [(step.batch, step.load, step.step) for step in steps if step.kind in WET_KINDS]
    coated = [
        done.ended
        for key in coats
        if not (done := facts.done[key]).skipped or not recorded_itself(done, key)
    ]
    if not coated:
        return None
    return max(coated), sum(facts.amounts_l.values()) if facts.amounts_l else None
