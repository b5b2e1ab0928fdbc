"""The one door to the planners: a request in, a plan out."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import replace

from finplan.planning.bound import Bound, lower_bound
from finplan.planning.build import Built
from finplan.planning.check import faults
from finplan.planning.deadline import put_off
from finplan.planning.dress import dress
from finplan.planning.forward import Found
from finplan.planning.kept import KeptPlan
from finplan.planning.layout import lay_out, ready_at
from finplan.planning.plan import Method, Plan
from finplan.planning.request import PlanRequest
from finplan.planning.steady import as_it_was, steadied, worth_a_change
from finplan.planning.tidy import loosened, tidy


def make_plan(request: PlanRequest, cancelled: Callable[[], bool] = lambda: False) -> Plan:
    """Plan all projects of a request together.

    Args:
        request: projects, workshop, air, journal and the hour it is.
        cancelled: asked while optimising; the best plan so far is returned when it says yes.

    Raises:
        NoPlan: if there is no plan; the sentence says what stands in the way.
        BadInput: if something in the request cannot be used.
    """
    if not request.projects:
        now = request.now.astimezone(dt.UTC)
        return Plan(now, Method.OPTIMAL, (), (), None, "", None, ())
    if request.ready_by is not None:
        late = put_off(replace(request, before=None), request.ready_by)
        plan = make_plan(replace(late.request, ready_by=None), cancelled)
        return replace(plan, deadline=late.deadline)
    built, found = standing(request)
    network = loosened(built.network, found)
    if request.seconds <= 0:
        return checked(request, dress(built, found, Method.FORWARD, lower_bound(network)))
    # What searches is loaded only where a search is asked for: most plans are made without.
    from finplan.planning.optimise import optimise
    from finplan.planning.search_words import Effort

    effort = Effort(request.seconds, request.workers, request.seed)
    now_s = int(request.now.timestamp())
    best = optimise(network, found, now_s, effort, cancelled)
    bound = replace(best.bound, ready_s=best.found.goal[0]) if best.proved else best.bound
    better = tidy(built.network, best.found)
    later = ready_at(built, better) > ready_at(built, found)
    if later or (request.before is not None and not worth_a_change(built.network, better, found)):
        better = found
    plan = dress(built, better, Method.BEST_FOUND, bound)
    if faults(request, plan):  # what does not hold is never shown
        return checked(request, dress(built, found, Method.FORWARD, lower_bound(network)))
    notes = [best.note] if best.note else []
    if request.workers == 1 and not best.settled:
        notes.append(
            "time ran out before the search was over: another search may find another plan"
        )
    return replace(plan, warnings=(*plan.warnings, *notes)) if notes else plan


def standing(request: PlanRequest) -> tuple[Built, Found]:
    """The layout a plan is made from without a search: it keeps to the plan before.

    Raises:
        NoPlan: if there is no plan.
    """
    built, found = lay_out(request)
    if request.before is not None:
        found = _kept_to(request.before, request, built, found)
    return built, found


def _kept_to(before: KeptPlan, request: PlanRequest, built: Built, fresh: Found) -> Found:
    """The plan before, hour for hour, where it still holds; else what keeps to it best.

    Either only if the fresh layout is not so much better that a change is worth it.
    """
    same = as_it_was(built, before)
    if same is not None and worth_a_change(built.network, fresh, same):
        same = None
    if same is not None and _holds(request, built, same, fresh):
        return same
    near = steadied(built, fresh, before)
    return near if _holds(request, built, near, fresh) else fresh


def _holds(request: PlanRequest, built: Built, found: Found, fresh: Found) -> bool:
    """Whether a layout is the fresh one, or the independent checker finds nothing amiss with it."""
    if found.layout == fresh.layout:
        return True
    bound = Bound(found.goal[0], "")
    return not faults(request, dress(built, found, Method.FORWARD, bound))


def checked(request: PlanRequest, plan: Plan) -> Plan:
    """The plan, with a warning for each fault the independent checker finds in it."""
    found = [
        f"This plan does not hold, please report it: {fault}" for fault in faults(request, plan)
    ]
    return replace(plan, warnings=(*found, *plan.warnings)) if found else plan
