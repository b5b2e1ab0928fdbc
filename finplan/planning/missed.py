"""How often planned work does not happen, as the journal shows it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from finplan.journal.progress import Progress
from finplan.planning.hours import Axis, axis_of
from finplan.planning.request import PlanRequest
from finplan.planning.tables import Tables
from finplan.trade.finishes import Stage
from finplan.trade.moments import find_zone
from finplan.trade.project import Batch
from finplan.trade.steps import WAITING_KINDS, WET_KINDS, Step, StepKind

PRIOR_DAYS = 20.0
PRIOR_SHARE = 0.1
PRIOR_SOURCE = "assumption: one work day in ten, as sure as 20 days seen would make it"

_LOOKED_BACK = dt.timedelta(days=120)
"""Days longer ago say little of the present habit (an assumption)."""


@dataclass(frozen=True, slots=True)
class Missed:
    """Work days on which work was possible, by whether any was done."""

    missed: int
    kept: int

    @property
    def share(self) -> float:
        """The share of work days expected to be missed."""
        ahead, against = self.weights
        return ahead / (ahead + against)

    @property
    def weights(self) -> tuple[float, float]:
        """Both parameters of the beta distribution that tells how sure the share is."""
        return (
            PRIOR_SHARE * PRIOR_DAYS + self.missed,
            (1.0 - PRIOR_SHARE) * PRIOR_DAYS + self.kept,
        )

    def say(self) -> str:
        """Where the share comes from, in words."""
        if not self.missed + self.kept:
            return PRIOR_SOURCE
        seen = f"{self.missed} of {self.missed + self.kept} work days missed so far"
        return f"{seen}, with the {PRIOR_SOURCE}"


def missed_days(request: PlanRequest) -> Missed:
    """Count the work days on which something could have been done, and whether it was.

    A day is missed when somebody had work hours, a step of a load begun was free to be done
    (the work before it done and safely dry for it), and nothing at all was recorded. Days before
    a load's first step tell nothing, as nobody knows when it was meant to begin.
    """
    zone = find_zone(request.workshop.zone)
    first = request.now - _LOOKED_BACK
    axis = axis_of(request.workshop.people, zone, first, request.now)
    tables = Tables(request, axis)
    days = [dt.datetime.fromtimestamp(at_s, zone).date() for at_s in axis.starts]
    worked: set[dt.date] = set()
    free: set[dt.date] = set()
    for project in request.projects:
        facts = request.progress.get(project.name, Progress())
        for fact in facts.done.values():
            if not fact.skipped and fact.ended > first:
                worked |= {fact.started.astimezone(zone).date(), fact.ended.astimezone(zone).date()}
        for batch in project.batches:
            loads = {load for name, load, _ in facts.done if name == batch.name}
            for load in loads:
                for from_s, until_s in _waits(request, tables, batch, facts, load):
                    free |= _days_between(axis, days, from_s, until_s)
    return Missed(len(free - worked), len(worked))


def _waits(
    request: PlanRequest, tables: Tables, batch: Batch, facts: Progress, load: int
) -> Iterable[tuple[float, float]]:
    """From when each step of a load could be done until it was, or until now."""
    before_s: float | None = None
    coat: tuple[Step, float] | None = None
    for step in batch.steps:
        fact = facts.done.get((batch.name, load, step.key))
        if step.kind in WAITING_KINDS or step.only_if_window_missed:
            continue
        if before_s is not None:
            dry_s = _dry_s(tables, batch, coat, step) if coat is not None else before_s
            until_s = fact.started.timestamp() if fact is not None else request.now.timestamp()
            yield max(before_s, dry_s), until_s
        if fact is None:
            return
        before_s = fact.ended.timestamp()
        if step.kind in WET_KINDS and not fact.skipped:
            coat = (step, before_s)


def _dry_s(tables: Tables, batch: Batch, coat: tuple[Step, float], step: Step) -> float:
    """When the coat below was safely dry for a step."""
    if step.kind is StepKind.WIPE_OFF:
        return coat[1]
    stage = Stage.DRY_TO_HANDLE if step.kind is StepKind.TURN else Stage.DRY_TO_RECOAT
    return tables.ready_s(coat[0].finish or "", batch.space, stage, coat[1])


def _days_between(axis: Axis, days: list[dt.date], from_s: float, until_s: float) -> set[dt.date]:
    """The days with work hours between two instants, without the day of the second."""
    found = set(days[axis.first_at_or_after(from_s) : axis.first_at_or_after(until_s)])
    last = axis.first_at_or_after(until_s)
    return found - {days[last]} if last < len(days) else found
