"""What the shop's own dryness checks say of each finish in each space."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from finplan.trade.steps import WET_KINDS

if TYPE_CHECKING:
    import datetime as dt

    from finplan.air.series import AirSeries
    from finplan.drying.bands import Band
    from finplan.drying.learning import Belief, Observation
    from finplan.journal.progress import Check, Progress
    from finplan.trade.finishes import Finish
    from finplan.trade.project import Project

Place = tuple[str, str]
"""A finish's name and a space's."""


def beliefs(
    projects: tuple[Project, ...],
    facts: Mapping[str, Progress],
    finishes: Mapping[str, Finish],
    air: Mapping[str, AirSeries],
    now: dt.datetime,
    resets: Mapping[Place, dt.datetime],
) -> dict[Place, Belief]:
    """Return what was learned, by finish and space; nothing where nothing was checked.

    Args:
        projects: of one workshop.
        facts: their progress, by the project's name.
        finishes: by name.
        air: by the space's name.
        now: later checks are left out.
        resets: from when on a finish in a space is learned afresh.
    """
    observations = [
        observation
        for project in projects
        for check in facts[project.name].checks
        if (observation := _observation(project, facts[project.name], check)) is not None
    ]
    if not observations:
        return {}
    from finplan.drying.clock import clock_for
    from finplan.drying.learning import learn

    places = {(one.finish, one.space) for one in observations}
    clocks = {place: clock_for(finishes[place[0]], air[place[1]]) for place in sorted(places)}
    since = {place: at.timestamp() for place, at in resets.items()}
    return learn(observations, clocks, now.timestamp(), forget_before_s=since)


def bands_of(learned: Mapping[Place, Belief]) -> dict[Place, Band]:
    """Return the lognormal bands of beliefs, for planner and clocks."""
    return {place: belief.band for place, belief in learned.items()}


def _observation(project: Project, facts: Progress, check: Check) -> Observation | None:
    from finplan.drying.learning import Observation

    done = facts.done.get((check.batch, check.load, check.step))
    if done is None or done.skipped or check.at < done.ended:
        return None
    for batch in project.batches:
        for step in batch.steps:
            wet = step.kind in WET_KINDS and step.finish is not None
            if wet and batch.name == check.batch and step.key == check.step:
                return Observation(
                    step.finish or "",
                    batch.space,
                    done.ended.timestamp(),
                    check.stage,
                    check.at.timestamp(),
                    check.reached,
                )
    return None
