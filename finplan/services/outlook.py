"""How good a project's date is: whether any plan could be ready sooner, and why not."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from finplan.planning.plan import Method
from finplan.planning.words import length
from finplan.trade.moments import say_moment

if TYPE_CHECKING:
    from finplan.services.planned import Planned

_SAME = dt.timedelta(minutes=15)
"""Work is laid out by the quarter hour."""


@dataclass(frozen=True, slots=True)
class Outlook:
    """How good a project's date is: nothing can be ready before ``bound``, and what binds it.

    ``said``: what binds it, in words. ``gap`` as of a plan: how far the date is beyond the bound,
    as a share of the time to it; None where the plan is not meant to be early, or not known.
    ``words``: all of it in sentences.
    """

    method: Method
    bound: dt.datetime | None
    bound_by: str
    said: str
    gap: float | None
    words: str


def outlook(seen: Planned, project: str) -> Outlook:
    """Return how good a project's date is, against what it could be on its own.

    A plan's own bound is of all its projects together; beside others a project is held up
    by sharing people and rack, which its own bound shows.
    """
    from finplan.planning.make import make_plan

    plan, ready = seen.plan, seen.ready_of(project)
    put_off = plan.deadline is not None and plan.deadline.spare_days > 0
    alone = plan
    if (len(seen.projects) > 1 or put_off) and ready is not None:
        own = replace(seen.request, projects=(seen.projects[project],), seconds=0.0)
        alone = make_plan(replace(own, ready_by=None))
    gap, method = None, plan.method
    if alone is plan:
        gap = plan.gap
    elif ready is not None and not put_off and alone.bound and alone.bound > plan.now:
        gap = max(0.0, (ready.safe - alone.bound) / (alone.bound - plan.now))
        if gap == 0.0:
            method = Method.OPTIMAL
        elif method is Method.OPTIMAL:  # of all projects together, not of this one
            method = Method.BEST_FOUND if seen.request.seconds > 0.0 else Method.FORWARD
    found = Outlook(method, alone.bound, alone.bound_by, alone.bound_said, gap, "")
    words = _put_off(seen, found) if put_off else _words(seen, project, found)
    return replace(found, words=words)


def _words(seen: Planned, project: str, found: Outlook) -> str:
    ready = seen.ready_of(project)
    if ready is None or found.bound is None:
        return ""
    why = f": {found.said}" if found.said else ""
    late = ready.safe - found.bound
    if found.gap is None or late < _SAME:
        return f"No plan can be safely ready sooner{why}."
    beside = "Even with no other project beside it, no" if len(seen.projects) > 1 else "No"
    told = f"{beside} plan can be safely ready before {say_moment(found.bound, seen.zone)}{why}."
    best = "The best plan found" if found.method is Method.BEST_FOUND else "This plan"
    told += f" {best} is {length(late.total_seconds())} later ({found.gap:.0%})."
    if seen.plan.method is Method.OPTIMAL and len(seen.projects) > 1:
        told += " No plan has all projects of the workshop ready sooner than this one."
    return told


def _put_off(seen: Planned, found: Outlook) -> str:
    if found.bound is None:
        return ""
    why = f": {found.said}" if found.said else ""
    when = say_moment(found.bound, seen.zone)
    return f"It is put off as late as is safe; begun now it cannot be ready before {when}{why}."
