"""From a request to the forward layout of its network."""

from __future__ import annotations

from finplan.planning.build import Built, build
from finplan.planning.forward import PASSES, Found, forward
from finplan.planning.hours import NEVER_S
from finplan.planning.request import NoPlan, PlanRequest
from finplan.planning.rescue import rescued
from finplan.planning.shop import Stuck
from finplan.planning.stuck import never_ready, no_place
from finplan.planning.tidy import tidy

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
        return _laid_out(request, passes, thorough)
    except NoPlan as fault:
        fault.request = request
        raise


def _laid_out(request: PlanRequest, passes: int, thorough: bool) -> tuple[Built, Found]:
    near = min(_NEAR_DAYS, request.horizon_days)
    for horizon in sorted({near, request.horizon_days}):
        built = build(request, horizon)
        try:
            first = forward(built.network, request.seed, passes)
        except Stuck as stuck:
            if horizon < request.horizon_days:
                continue
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
