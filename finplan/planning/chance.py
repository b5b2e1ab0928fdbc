"""The chance to be ready by a date: a few hundred plans of what may happen.

Work goes on in the order of the plan, each step as soon as the work before it is dry and there are
hours, or at its planned hour. What may happen is drawn in ``worlds``.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from finplan.air.series import AirSeries
from finplan.planning.build import Built, build
from finplan.planning.hours import NEVER_S
from finplan.planning.missed import Missed
from finplan.planning.network import Network, State
from finplan.planning.plan import Plan
from finplan.planning.request import NoPlan, PlanRequest
from finplan.planning.steady import in_order
from finplan.planning.words import instant
from finplan.planning.worlds import Source, Worlds

RUNS = 200

_DAY_S = 86400.0
_SLACK_DAYS = 120
"""So much later than planned is looked at first; the whole horizon only where it has to be."""


@dataclass(frozen=True)
class Chances:
    """When each project is ready in every run, seconds since 1970 (infinite: not within a year).

    ``missed``: how often work days are missed. ``years``: how many earlier years of weather were
    drawn from, 0 where the air strays from its normals instead.
    """

    ready_s: Mapping[str, NDArray[np.float64]]
    missed: Missed
    years: int

    @property
    def runs(self) -> int:
        """How many plans were made."""
        return max((len(runs) for runs in self.ready_s.values()), default=0)

    def share(self, project: str, by: dt.datetime) -> float:
        """The share of runs in which a project is ready by an instant."""
        return float(np.mean(self.ready_s[project] <= by.timestamp()))

    def ready(self, project: str, share: float) -> dt.datetime | None:
        """The instant by which a project is ready in that share of the runs; None for never."""
        runs = np.sort(self.ready_s[project])
        at_s = float(runs[min(len(runs) - 1, max(0, math.ceil(share * len(runs)) - 1))])
        return instant(at_s) if math.isfinite(at_s) else None


def chances(
    request: PlanRequest,
    plan: Plan,
    readings: Mapping[str, AirSeries] | None = None,
    runs: int = RUNS,
    seed: int = 0,
    stopped: Callable[[], bool] = lambda: False,
    *,
    held: Collection[Source] = (),
) -> Chances:
    """How likely each project of a plan is ready by when.

    Args:
        request: what is planned.
        plan: its plan, whose order of work is kept to.
        readings: all air that was read, by space; earlier years of it stand for the weather.
        runs: how many plans to make.
        seed: fixes the draws.
        stopped: asked after every run; no more runs are made when it says yes.
        held: what is not drawn but stands at its middle in all runs.

    Raises:
        NoPlan: if no run leads to a plan.
    """
    return chances_of_each(((request, plan),), readings, runs, seed, stopped, held=held)[0]


def chances_of_each(
    plans: Sequence[tuple[PlanRequest, Plan]],
    readings: Mapping[str, AirSeries] | None = None,
    runs: int = RUNS,
    seed: int = 0,
    stopped: Callable[[], bool] = lambda: False,
    *,
    held: Collection[Source] = (),
) -> tuple[Chances, ...]:
    """How likely each project is ready by when, by several plans in the same worlds.

    Args:
        plans: requests that differ in nothing but when their projects may begin, the first of them
            soonest, and their plans.
        readings: as for ``chances``; so are the others.
        runs: how many plans to make of each.
        seed: fixes the draws.
        stopped: asked after every run.
        held: as for ``chances``.

    Raises:
        NoPlan: if no run of a request leads to a plan.
    """
    request = plans[0][0]
    last = max([one.safe for _, plan in plans for one in plan.ready], default=request.now)
    near = min(request.horizon_days, (last - request.now).days + _SLACK_DAYS)
    worlds = Worlds(request, last, readings, seed, held)
    ways = [Way(_begins_s(other), plan) for other, plan in plans]
    found: list[list[list[float]]] = []
    for run in range(runs):
        for horizon in sorted({near, request.horizon_days}):
            built = build(worlds.world(run, horizon), horizon)
            ready = [ready_in(built, way, near=horizon < request.horizon_days) for way in ways]
            if np.all(np.isfinite(ready)):
                break
        found.append(ready)
        if stopped():
            break
    names = sorted(project.name for project in request.projects)
    columns = np.array(found).transpose(1, 2, 0)
    if not np.isfinite(columns).any(axis=(1, 2)).all():
        raise NoPlan("no run leads to a plan: give more work hours", "chance")
    return tuple(
        Chances(dict(zip(names, own, strict=True)), worlds.missed, len(worlds.years))
        for own in columns
    )


@dataclass(frozen=True, slots=True)
class Way:
    """When projects may begin, by name, in seconds, and the plan that is carried out."""

    begins_s: Mapping[str, int]
    plan: Plan


def _begins_s(request: PlanRequest) -> dict[str, int]:
    return {
        project.name: math.ceil(begins.timestamp())
        for project in request.projects
        if (begins := request.begins(project)) is not None
    }


def ready_in(built: Built, way: Way, *, near: bool = False) -> list[float]:
    """When each project is ready, by name, if a plan is carried out in a world; infinite for never.

    Each step is done as soon as it may be, in the plan's order; where that is later than planned,
    at its planned hour or the next that is free, if all is ready sooner that way. A split step
    takes the hours others leave. ``near``: more hours will be looked at where these don't do.
    """
    network = _begun_at(built, way.begins_s)
    known = {step.id: step for step in way.plan.steps}
    steps = {at: known[node.id] for at, node in enumerate(network.nodes) if node.id in known}
    order = {at: step.pieces[-1][0].timestamp() for at, step in steps.items()}
    soon = _dispatched(network, order)
    planned = sorted((one.project, one.safe.timestamp()) for one in way.plan.ready)
    if all(at_s <= safe_s for at_s, (_, safe_s) in zip(soon, planned, strict=True)):
        return soon
    if near and not all(map(math.isfinite, soon)):
        return soon
    at_its_hours = tuple(
        replace(node, wish_s=int(steps[at].start.timestamp()))
        if at in steps and node.state is State.WORK and node.wish_s is None
        else node
        for at, node in enumerate(network.nodes)
    )
    kept = _dispatched(replace(network, nodes=at_its_hours), order)
    return min((soon, kept), key=lambda ready: (sum(map(math.isinf, ready)), sum(ready)))


def _dispatched(network: Network, order: Mapping[int, float]) -> list[float]:
    """When each project is ready if its work is taken up in an order."""
    found = in_order(network, order)
    if found is None:
        return [math.inf] * len(network.finals)
    ends = found.shop.ends
    ready = [max(ends.get(node, 0) for node in finals) for finals in network.finals]
    return [float(at_s) if at_s < NEVER_S else math.inf for at_s in ready]


def _begun_at(built: Built, begins_s: Mapping[str, int]) -> Network:
    """The network with its projects begun no sooner than some instants."""
    nodes = tuple(
        replace(node, release_s=begins_s[item.project.name])
        if begins_s.get(item.project.name, 0) > node.release_s and node.state is not State.DONE
        else node
        for node, item in zip(built.network.nodes, built.site.items, strict=True)
    )
    return replace(built.network, nodes=nodes)
