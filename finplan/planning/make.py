"""The one door to the planners: a request in, a plan out."""

from __future__ import annotations

from dataclasses import replace

from finplan.planning.build import Built, build
from finplan.planning.check import faults
from finplan.planning.dress import dress
from finplan.planning.forward import Found, forward, tidy
from finplan.planning.hours import NEVER_S
from finplan.planning.plan import Method, Plan
from finplan.planning.request import NoPlan, PlanRequest
from finplan.planning.shop import Stuck
from finplan.planning.stuck import never_ready, no_place

_NEAR_DAYS = 90
"""The hours looked at first; the whole horizon only if they do not do."""


def make_plan(request: PlanRequest) -> Plan:
    """Plan all projects of a request together.

    Args:
        request: projects, workshop, air, journal and the hour it is.

    Raises:
        NoPlan: if there is no plan; the sentence says what stands in the way.
        BadInput: if something in the request cannot be used.
    """
    built, found = lay_out(request)
    return checked(request, dress(built, found, Method.FORWARD))


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
