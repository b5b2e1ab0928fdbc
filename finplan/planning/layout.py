"""From a request to the forward layout of its network."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

from finplan.planning.build import Built, build
from finplan.planning.forward import PASSES, Found, forward
from finplan.planning.hours import NEVER_S
from finplan.planning.network import Network
from finplan.planning.request import NoPlan, PlanRequest
from finplan.planning.shop import Stuck
from finplan.planning.steady import in_order
from finplan.planning.stuck import never_ready, no_place
from finplan.planning.tidy import tidy
from finplan.planning.words import instant

_NEAR_DAYS = 90
"""The hours looked at first; the whole horizon only if they do not do."""


def lay_out(
    request: PlanRequest, passes: int = PASSES, *, thorough: bool = True
) -> tuple[Built, Found]:
    """Build the network and lay it out by the forward planner; where it is stuck, by the solver.

    Args:
        request: what is to be planned.
        passes: how many orders the forward planner tries.
        thorough: whether the solver looks on where the forward planner is stuck.

    Raises:
        NoPlan: if there is no plan.
        BadInput: if something in the request cannot be used.
    """
    try:
        built, found = _laid_out(request, passes, thorough)
        own = [project for project in request.projects if request.is_dated(project.name)]
        if not request.dated or len(own) == len(request.projects):
            return built, found
        alone = _laid_out(replace(request, projects=tuple(own)), passes, thorough)
        return built, _dated_first(built, found, alone)
    except NoPlan as fault:
        fault.request = request
        raise


def _dated_first(built: Built, found: Found, alone: tuple[Built, Found]) -> Found:
    """The layout in which what a date is of goes first, where it is ready sooner that way.

    Args:
        built: what is planned.
        found: a layout in which all count the same.
        alone: what the date is of, laid out as if there were nothing else.
    """
    there = {node.id: index for index, node in enumerate(alone[0].network.nodes)}
    placed, starts = alone[1].layout.placed, {}
    for index, node in enumerate(built.network.nodes):
        place = placed.get(there.get(node.id, -1))
        if place is not None:
            starts[index] = float(place.slots[0])
    first = in_order(built.network, starts)
    if first is None or max(first.shop.ends.values()) >= NEVER_S:
        return found
    neat = tidy(built.network, first)
    return min((found, neat, first), key=lambda one: ready_at(built, one))


def ready_at(built: Built, found: Found) -> dt.datetime:
    """When a layout has all safely ready that the request's date is of."""
    request = built.site.request
    names = sorted(project.name for project in request.projects)
    ends = (
        found.shop.ends.get(node, 0)
        for name, finals in zip(names, built.network.finals, strict=True)
        if request.is_dated(name)
        for node in finals
    )
    return instant(max(ends))


def _hours_may_do(network: Network) -> bool:
    """Whether there are at least as many hours as there is work that has to be done."""
    work = sum(node.slots for node in network.nodes if not node.optional)
    return work <= sum(free.bit_count() for free in network.axis.free)


def _laid_out(request: PlanRequest, passes: int, thorough: bool) -> tuple[Built, Found]:
    near = min(_NEAR_DAYS, request.horizon_days)
    for horizon in sorted({near, request.horizon_days}):
        built = build(request, horizon)
        if horizon < request.horizon_days and not _hours_may_do(built.network):
            continue
        try:
            first = forward(built.network, request.seed, passes)
        except Stuck as stuck:
            if horizon < request.horizon_days:
                continue
            from finplan.planning.rescue import rescued

            now_s = int(request.now.timestamp())
            saved = rescued(built.network, now_s, request.seed) if thorough else None
            if saved is None:
                raise no_place(built, stuck.node) from None
            first = saved
        found = tidy(built.network, first)
        late = [node for node, end_s in found.shop.ends.items() if end_s >= NEVER_S]
        if late:
            raise never_ready(built, min(late))
        return built, found
    raise NoPlan("there is no time to plan in", "horizon", "give a horizon of at least a day")
