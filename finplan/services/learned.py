"""What the shop's own dryness checks say of each finish in each space."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from finplan.services.air import space_named, workshop_named
from finplan.services.gather import active_projects, air_of, all_finishes, folded
from finplan.trade.steps import WET_KINDS

if TYPE_CHECKING:
    import datetime as dt

    from finplan.air.series import AirSeries
    from finplan.drying.bands import Band
    from finplan.drying.learning import Belief, Observation
    from finplan.journal.progress import Check, Progress
    from finplan.services.session import Session
    from finplan.store.store import Unit
    from finplan.trade.finishes import Finish
    from finplan.trade.project import Project
    from finplan.trade.workshop import Workshop

Place = tuple[str, str]
"""A finish's name and a space's."""


@dataclass(frozen=True, slots=True)
class Learned:
    """What was learned of a finish in a space: in words, and as values to print."""

    sentence: str
    values: Mapping[str, object]


def learned(session: Session, workshop: str | None = None) -> tuple[Learned, ...]:
    """Return what dryness checks have taught, by workshop, finish and space.

    Args:
        session: the open session.
        workshop: its name; None for every workshop that has a project.

    Raises:
        BadInput: no such workshop.
    """
    with session.store.unit(writes=False) as unit:
        used = {project.workshop for project in active_projects(unit)}
        names = sorted(used) if workshop is None else [workshop]
        shops = [unit.workshops.get(name) for name in names]
        finishes = all_finishes(unit)
        found = {shop.name: learned_in(unit, shop, session.now) for shop in shops}
    return tuple(one for name, taught in found.items() for one in told_of(taught, name, finishes))


def told_of(
    taught: Mapping[Place, Belief], workshop: str, finishes: Mapping[str, Finish]
) -> tuple[Learned, ...]:
    """Return what the checks of a workshop taught, in words, by finish and space."""
    return tuple(
        Learned(
            belief.say(f"{finishes[finish].title} ({space})"),
            {"workshop": workshop, **belief.as_plain()},
        )
        for (finish, space), belief in sorted(taught.items())
    )


def forget(session: Session, finish: str, space: str | None, workshop: str | None) -> Place:
    """Learn a finish in a space afresh from now on; the checks stay in the journal.

    Raises:
        BadInput: no such finish, space or workshop.
    """
    from finplan.library.load import find_finish

    with session.store.unit() as unit:
        shop = workshop_named(unit, workshop)
        place = (find_finish(finish, all_finishes(unit)).name, space_named(shop, space))
        unit.learned_resets.put(*place, session.now)
        unit.commit()
    return place


def learned_in(unit: Unit, workshop: Workshop, now: dt.datetime) -> dict[Place, Belief]:
    """Return the beliefs of a workshop by finish and space; only where something was checked."""
    projects = tuple(p for p in active_projects(unit) if p.workshop == workshop.name)
    facts = folded(unit, projects)
    air = air_of(unit, workshop, facts, now)
    resets = unit.learned_resets.all()
    return beliefs(projects, facts, all_finishes(unit), air, now, resets)


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
    coats = _coats(projects, facts)
    observations = [
        observation
        for project in projects
        for check in facts[project.name].checks
        if (observation := _observation(project.name, check, coats)) is not None
    ]
    if not observations:
        return {}
    from finplan.drying.clock import clock_for
    from finplan.drying.learning import learn

    places = {(one.finish, one.space) for one in observations}
    clocks = {place: clock_for(finishes[place[0]], air[place[1]]) for place in sorted(places)}
    since = {place: at.timestamp() for place, at in resets.items()}
    in_use = {
        coat.finish: coat.can
        for coat in sorted(coats.values(), key=lambda coat: coat.ended)
        if coat.ended <= now
    }
    return learn(observations, clocks, now.timestamp(), in_use, since)


def bands_of(learned: Mapping[Place, Belief]) -> dict[Place, Band]:
    """Return the lognormal bands of beliefs, for planner and clocks."""
    return {place: belief.band for place, belief in learned.items()}


@dataclass(frozen=True, slots=True)
class _Coat:
    """A coat that went on: what, where, when it ended, and from which can."""

    finish: str
    space: str
    ended: dt.datetime
    can: str


def _coats(
    projects: tuple[Project, ...], facts: Mapping[str, Progress]
) -> dict[tuple[str, str, int, str], _Coat]:
    """Return the coats by project, batch, load and step; a can stands until another is named."""
    done = [
        ((project.name, batch.name, load, step.key), step.finish, batch.space, fact)
        for project in projects
        for batch in project.batches
        for step in batch.steps
        if step.kind in WET_KINDS and step.finish is not None
        for (name, load, key), fact in facts[project.name].done.items()
        if (name, key) == (batch.name, step.key) and not fact.skipped
    ]
    cans: dict[str, str] = {}
    coats = {}
    for where, finish, space, fact in sorted(done, key=lambda coat: (coat[3].ended, coat[0])):
        cans[finish] = str(fact.entry.details.get("can") or cans.get(finish, ""))
        coats[where] = _Coat(finish, space, fact.ended, cans[finish])
    return coats


def _observation(
    project: str, check: Check, coats: Mapping[tuple[str, str, int, str], _Coat]
) -> Observation | None:
    from finplan.drying.learning import Observation

    coat = coats.get((project, check.batch, check.load, check.step))
    if coat is None or check.at < coat.ended:
        return None
    return Observation(
        coat.finish,
        coat.space,
        coat.ended.timestamp(),
        check.stage,
        check.at.timestamp(),
        check.reached,
        coat.can,
    )
