"""The one door to the planners: a request in, a plan out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from finplan.planning.bound import Bound, lower_bound
from finplan.planning.build import Built, build
from finplan.planning.check import faults
from finplan.planning.dress import dress
from finplan.planning.forward import Found, forward, tidy
from finplan.planning.hours import NEVER_S
from finplan.planning.optimise import optimise
from finplan.planning.plan import Method, Plan
from finplan.planning.request import NoPlan, PlanRequest
from finplan.planning.search_words import Effort
from finplan.planning.shop import Stuck
from finplan.planning.stuck import never_ready, no_place

_NEAR_DAYS = 90
"""The hours looked at first; the whole horizon only if they do not do."""


def make_plan(request: PlanRequest, cancelled: Callable[[], bool] = lambda: False) -> Plan:
    """Plan all projects of a request together.

    Args:
        request: projects, workshop, air, journal and the hour it is.
        cancelled: asked while optimising; the best plan so far is returned when it says yes.

    Raises:
        NoPlan: if there is no plan; the sentence says what stands in the way.
        BadInput: if something in the request cannot be used.
    """
    built, found = lay_out(request)
    if request.seconds <= 0:
        plan = dress(built, found, Method.FORWARD, lower_bound(built.network))
        return checked(request, plan)
    effort = Effort(request.seconds, request.workers, request.seed)
    now_s = int(request.now.timestamp())
    best = optimise(built.network, found, now_s, effort, cancelled)
    bound = Bound(best.found.goal[0], best.bound.by) if best.proved else best.bound
    plan = dress(built, tidy(built.network, best.found), Method.BEST_FOUND, bound)
    if faults(request, plan):  # what does not hold is never shown
        return checked(request, dress(built, found, Method.FORWARD, lower_bound(built.network)))
    return replace(plan, warnings=(*plan.warnings, best.note)) if best.note else plan


def checked(request: PlanRequest, plan: Plan) -> Plan:
    """The plan, with a warning for each fault the independent checker finds in it."""
    found = [
        f"This plan does not hold, please report it: {fault}" for fault in faults(request, plan)
    ]
    return replace(plan, warnings=(*found, *plan.warnings)) if found else plan


def lay_out(request: PlanRequest) -> tuple[Built, Found]:
    """Build the network and lay it out by the forward planner.

    Raises:
        NoPlan: if there is no plan.
    """
    near = min(_NEAR_DAYS, request.horizon_days)
    for horizon in sorted({near, request.horizon_days}):
        built = build(request, horizon)
        try:
            found = tidy(built.network, forward(built.network, request.seed))
        except Stuck as stuck:
            if horizon == request.horizon_days:
                raise NoPlan(*no_place(built, stuck.node)) from None
            continue
        late = [node for node, end_s in found.shop.ends.items() if end_s >= NEVER_S]
        if late:
            raise NoPlan(*never_ready(built, min(late)))
        return built, found
    raise NoPlan("there is no time to plan in: give a horizon of at least a day", "horizon")
