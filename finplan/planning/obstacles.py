"""What stands in the way of a plan: smallest sets of reasons, each tried by planning again.

Deletion filtering: with everything lifted that can be lifted, one restriction after the other is
left out for good if there is no plan without it either. What is left keeps a plan from being by
itself, and without any one of it there is a plan.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Collection
from contextlib import suppress
from dataclasses import dataclass

from finplan.journal.progress import Progress
from finplan.planning.build import Built
from finplan.planning.forward import Found, missed_windows
from finplan.planning.layout import lay_out, ready_at
from finplan.planning.loads import cut_into_loads
from finplan.planning.request import NoPlan, PlanRequest
from finplan.planning.restrictions import Restriction, lifted, restrictions_of
from finplan.trade.errors import BadInput

Good = Callable[[Built, Found], bool]
"""Whether a layout is what was wanted."""

_MOST_SETS = 4

_PLANNED_IN_ALL = 25_000
"""Steps planned again for the reasons of one request, and as many for the ways out, for what to
drop, for levers (an assumption: half a minute for people to wait). By count and not by the clock:
the same request is told the same.
"""

_LEAST_PLANS = 8


def any_plan(built: Built, found: Found) -> bool:
    """Wanted is a plan at all."""
    return True


def ready_by(end: dt.datetime) -> Good:
    """Wanted is that all the date is of is safely ready by an instant."""
    return lambda built, found: ready_at(built, found) <= end


def in_its_window(step_id: str) -> Good:
    """Wanted is that a coat goes on before the recoat window of the one below closes."""
    return lambda built, found: (
        not any(
            built.network.nodes[node].id == step_id for node in missed_windows(built.network, found)
        )
    )


@dataclass(frozen=True, slots=True)
class Obstacle:
    """A smallest set of restrictions that leave no wanted plan, whatever else is lifted.

    ``fact``: what cannot be with only these in force, where there is no plan at all; else empty.
    ``others``: the restrictions of the other sets, which stand in the way as well. ``smallest``:
    whether it was shown that none of them is more than is needed, before too much was tried.
    """

    restrictions: tuple[Restriction, ...]
    fact: str
    others: tuple[Restriction, ...]
    smallest: bool = True


class Enough(Exception):
    """So much was planned again that what is known now has to do."""


class Trial:
    """Tries requests: whether they lead to a wanted plan. What was tried is remembered.

    Args:
        request: the request without a wanted plan.
        good: what is wanted.
        fixed: restrictions never lifted, as they are part of what is wanted.
        most: plans made at most for what stands in the way; None for what the size of the request
            allows.

    ``left``: plans that may still be made.
    """

    def __init__(
        self,
        request: PlanRequest,
        good: Good,
        fixed: Collection[Restriction] = (),
        most: int | None = None,
    ) -> None:
        self.request = request
        self.all = tuple(one for one in restrictions_of(request) if one not in fixed)
        self.good = good
        self.thorough = False
        self.most = most or plans_allowed(request)
        self.left = self.most
        self._known: dict[frozenset[Restriction], bool] = {}

    def ready(self, request: PlanRequest) -> dt.datetime | None:
        """When a request's plan is safely ready; None where it is not what was wanted.

        Raises:
            Enough: if no more plans may be made.
        """
        if self.left <= 0:
            raise Enough
        self.left -= 1
        try:
            built, found = lay_out(request, thorough=self.thorough)
        except NoPlan:
            return None
        return ready_at(built, found) if self.good(built, found) else None

    def look_harder(self) -> None:
        """From now on let the solver look where the forward planner is stuck, and try all anew."""
        self.thorough = True
        self._known.clear()

    def first(self) -> dt.datetime:
        """When the request's own plan is safely ready, wanted or not.

        Raises:
            NoPlan: if it has none.
        """
        return ready_at(*lay_out(self.request))

    def at_best(self) -> PlanRequest:
        """The request with all lifted that can be lifted."""
        return lifted(self.request, self.all)

    def without(self, gone: Collection[Restriction]) -> bool:
        """Whether there is a wanted plan with some restrictions lifted."""
        key = frozenset(gone)
        if key not in self._known:
            self._known[key] = self.ready(lifted(self.request, key)) is not None
        return self._known[key]

    def only(self, kept: Collection[Restriction]) -> bool:
        """Whether there is a wanted plan with only some restrictions in force."""
        return self.without(set(self.all) - set(kept))

    def smallest(self, gone: Collection[Restriction]) -> tuple[tuple[Restriction, ...], bool]:
        """A smallest set of reasons among the restrictions that are not lifted already.

        Empty where there is no wanted plan even with all lifted.

        Returns:
            The set, and whether it was shown to be smallest before too much was tried.
        """
        kept = [one for one in self.all if one not in set(gone)]
        try:
            self._halve(kept)
            again = True
            while again:  # twice at most, unless lifting something once made a plan worse
                again = False
                for one in list(kept):
                    if not self.only([other for other in kept if other != one]):
                        kept.remove(one)
                        again = True
        except Enough:
            return tuple(kept), False
        return tuple(kept), True

    def _halve(self, kept: list[Restriction]) -> None:
        """Take away the longest first part of restrictions that is not needed, in few trials."""
        high = len(kept)
        while high > 0:
            half = (high + 1) // 2
            if self.only(kept[half:]):
                high = half - 1
            else:
                del kept[:half]
                high -= half


def obstacles(trial: Trial) -> tuple[Obstacle, ...]:
    """What stands in the way of a wanted plan, one smallest set after the other.

    With the restrictions of all the sets lifted there is a wanted plan, unless the last is empty
    (then nothing that can be lifted helps) or there are very many.
    """
    sets: list[tuple[tuple[Restriction, ...], bool]] = []
    gone: tuple[Restriction, ...] = ()
    with suppress(Enough):
        while not trial.without(gone) and len(sets) < _MOST_SETS:
            least, smallest = trial.smallest(gone)
            if smallest and not trial.thorough and _fact(trial, least) is None:
                trial.look_harder()  # the solver finds what the forward planner missed
                continue
            sets.append((least, smallest))
            gone += least
            if not least or not smallest:
                break
    facts = [(own, smallest, _fact(trial, own)) for own, smallest in sets]
    return tuple(
        Obstacle(own, fact, tuple(one for one in gone if one not in own), smallest)
        for own, smallest, fact in facts
        if fact is not None
    )


def plans_allowed(request: PlanRequest) -> int:
    """How often a request of its size may be planned again for one answer."""
    return max(_LEAST_PLANS, _PLANNED_IN_ALL // steps_in(request))


def steps_in(request: PlanRequest) -> int:
    """About how many steps a request comes to, with every load's own; at least one."""
    racks = {space.name: space.rack_area_m2 for space in request.workshop.spaces}
    steps = 0
    for project in request.projects:
        facts = request.progress.get(project.name, Progress())
        for batch in project.batches:
            try:
                known, spoiled = facts.loads.get(batch.name), dict(facts.spoiled)
                cut = cut_into_loads(project, batch, racks[batch.space], spoiled, known)
            except (BadInput, KeyError):  # told where it is planned
                cut = ()
            steps += len(batch.steps) * max(1, len(cut))
    return max(1, steps)


def _fact(trial: Trial, only: tuple[Restriction, ...]) -> str | None:
    """What the planner says with only these restrictions in force; empty if there is a plan.

    None where that is a wanted plan, which only a longer search finds: then they are no obstacle.
    """
    try:
        built, found = lay_out(lifted(trial.request, set(trial.all) - set(only)))
    except NoPlan as fault:
        return f"{fault.where}: {fault.fact}" if fault.where else fault.fact
    return None if trial.good(built, found) else ""
