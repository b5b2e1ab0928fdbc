"""Pictures and papers of a plan, written to files."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path
from typing import TYPE_CHECKING

from finplan.services.planned import planned
from finplan.services.reading import write_whole
from finplan.services.steps import find_step
from finplan.trade.errors import BadInput
from finplan.trade.steps import WET_KINDS

if TYPE_CHECKING:
    from finplan.planning.plan import PlannedStep
    from finplan.services.planned import Planned
    from finplan.services.session import Session
    from finplan.trade.finishes import Stage


def write_plan_chart(session: Session, projects: Collection[str], path: Path) -> bool:
    """Draw the plan of projects as a timeline into an SVG or PNG file.

    Args:
        session: the open session.
        projects: what to draw; with none all of the workshop with the next work.
        path: the file; its ending says which kind.

    Returns:
        False where the file held just that already.

    Raises:
        BadInput: an unknown project or ending, or the file cannot be written.
    """
    from finplan.prints.figures import kind_of
    from finplan.prints.plan_chart import PlanPicture, plan_chart

    kind = kind_of(path.name)
    seen = planned(session, projects)
    titles = {name: seen.projects[name].title for name in seen.shown}
    picture = PlanPicture(seen.plan, titles, seen.zone, seen.air, session.units)
    return write_whole(path, plan_chart(picture, kind))


def write_drying_chart(session: Session, project: str, step: str, path: Path) -> bool:
    """Draw how one coat dries into an SVG or PNG file.

    Args:
        session: the open session.
        project: whose coat.
        step: the coat, as a person names it.
        path: the file; its ending says which kind.

    Returns:
        False where the file held just that already.

    Raises:
        BadInput: an unknown step, one that leaves nothing wet, or the file cannot be written.
    """
    from finplan.prints.drying_chart import DryingPicture, drying_chart
    from finplan.prints.figures import kind_of

    kind = kind_of(path.name)
    seen = planned(session, [project])
    coat = find_step(seen.steps_of(project), step, project)
    finish = seen.step_as_made(coat).finish
    if coat.kind not in WET_KINDS or finish is None:
        raise BadInput(f"“{coat.title}” leaves nothing wet: name a coat", project)
    picture = DryingPicture(
        title=f"{coat.title} ({seen.projects[project].title}, {coat.batch})",
        clock=seen.clock(finish, coat.space),
        space=coat.space,
        ended=coat.end,
        now=seen.plan.now,
        zone=seen.zone,
        stage=_awaited(seen, coat),
        units=session.units,
    )
    return write_whole(path, drying_chart(picture, kind))


def _awaited(seen: Planned, coat: PlannedStep) -> Stage:
    """Return the stage the next coat (or turning, or assembly) waits for."""
    from finplan.trade.finishes import STAGE_ORDER, Stage

    stages = [
        step.waits_for.stage
        for step in seen.plan.steps
        if step.waits_for is not None and step.waits_for.step == coat.id
    ]
    stages = [stage for stage in stages if stage is not Stage.FULL_CURE]
    return max(stages, key=STAGE_ORDER.index, default=Stage.DRY_TO_RECOAT)
