"""Litres of each finish a project takes, coat by coat, the cans to buy and what they cost."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from finplan.journal.fold import progress
from finplan.services.gather import all_finishes
from finplan.trade.coverage import cans_to_buy, step_litres, waste_share, worked_area_m2
from finplan.trade.steps import WET_KINDS
from finplan.trade.surfaces import largest_face_m2, total_areas

if TYPE_CHECKING:
    from finplan.journal.progress import Progress
    from finplan.services.session import Session
    from finplan.trade.finishes import Finish
    from finplan.trade.parts import Part
    from finplan.trade.project import Batch, Project
    from finplan.trade.steps import Step


@dataclass(frozen=True, slots=True)
class CoatNeed:
    """What a coat takes: ``coat`` counts from 1, 0 is sealing. ``litres`` without waste, likely."""

    coat: int
    area_m2: float
    litres: float


@dataclass(frozen=True, slots=True)
class FinishNeed:
    """What a project takes of one finish.

    ``litres``: likely, all coats, without waste. ``litres_to_buy``: safe, with waste, less what
    the steps done took. ``used_l``: as recorded. ``left_l``: likely need of the steps to come.
    ``cans``: size in litres -> count. ``cost``:
    of the cans, None where the finish has no price.
    """

    finish: Finish
    coats: tuple[CoatNeed, ...]
    litres: float
    litres_to_buy: float
    used_l: float
    left_l: float
    cans: Mapping[float, int]
    cost: float | None


@dataclass(frozen=True, slots=True)
class Materials:
    """What a project takes; ``area_m2`` is the whole surface to be finished."""

    project: Project
    area_m2: float
    finishes: tuple[FinishNeed, ...]


def materials(session: Session, project: str) -> Materials:
    """Return litres, cans and cost of a project.

    Args:
        session: the open session.
        project: the project's name.

    Raises:
        BadInput: there is no such project.
    """
    with session.store.unit(writes=False) as unit:
        made = unit.projects.get(project)
        facts = progress(unit.journal.of(project), made)
        known = all_finishes(unit)
    batched = {name for batch in made.batches for name in batch.parts}
    parts = [part for part in made.parts if part.name in batched]
    names = dict.fromkeys(
        step.finish for batch in made.batches for step in batch.steps if step.finish
    )
    return Materials(
        made,
        total_areas(parts).total_m2,
        tuple(_need(made, known[name], facts) for name in names),
    )


def _need(project: Project, finish: Finish, facts: Progress) -> FinishNeed:
    areas: dict[int, float] = defaultdict(float)
    litres: dict[int, float] = defaultdict(float)
    to_buy = open_likely = 0.0
    for batch in project.batches:
        parts = _parts_of(project, batch)
        whole = total_areas(parts)
        for step in batch.steps:
            if step.finish != finish.name or step.kind not in WET_KINDS:
                continue
            need = step_litres(step, finish, whole)
            areas[step.coat] += worked_area_m2(step, whole)
            litres[step.coat] += need.likely
            open_share = 1.0 - _share_done(batch, step, facts)
            smallest = min((largest_face_m2(part) for part in parts), default=1.0)
            waste = waste_share(step.method, smallest).value
            to_buy += need.safe * (1.0 + waste) * open_share
            open_likely += need.likely * open_share
    used = sum(
        amount
        for (batch_name, _, key), amount in facts.amounts_l.items()
        if _finish_at(project, batch_name, key) == finish.name
    )
    cans = cans_to_buy(to_buy, finish.cans_l) if finish.cans_l else {}
    cost = None
    if finish.price_per_l is not None and finish.cans_l:
        cost = sum(size * count for size, count in cans.items()) * finish.price_per_l
    return FinishNeed(
        finish,
        tuple(CoatNeed(coat, areas[coat], litres[coat]) for coat in sorted(areas)),
        sum(litres.values()),
        to_buy,
        used,
        open_likely,
        cans,
        cost,
    )


def _parts_of(project: Project, batch: Batch) -> list[Part]:
    return [part for part in project.parts if part.name in batch.parts]


def _share_done(batch: Batch, step: Step, facts: Progress) -> float:
    """Return which share of the batch's loads has this step behind it."""
    loads = facts.loads.get(batch.name, 0)
    if not loads:
        return 0.0
    done = sum((batch.name, load, step.key) in facts.done for load in range(1, loads + 1))
    return done / loads


def _finish_at(project: Project, batch_name: str, key: str) -> str | None:
    for batch in project.batches:
        for step in batch.steps:
            if batch.name == batch_name and step.key == key:
                return step.finish
    return None
