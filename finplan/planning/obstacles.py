"""What stands in the way of a plan: smallest sets of reasons, each tried by planning again.

Deletion filtering: with everything lifted that can be lifted, one restriction after the other is
left out for good if there is no plan without it either. What is left keeps a plan from being by
itself, and without any one of it there is a plan.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Collection
from dataclasses import dataclass

from finplan.planning.build import Built
from finplan.planning.forward import Found, missed_windows
from finplan.planning.layout import lay_out, ready_at
from finplan.planning.request import NoPlan, PlanRequest
from finplan.planning.restrictions import Restriction, lifted, restrictions_of

Good = Callable[[Built, Found], bool]
"""Whether a layout is what was wanted."""

_MOST_SETS = 4


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
    ``others``: the restrictions of the other sets, which stand in the way as well.
    """

    restrictions: tuple[Restriction, ...]
    fact: str
    others: tuple[Restriction, ...]


class Trial:
    """Tries requests: whether they lead to a wanted plan. What was tried is remembered.

    Args:
        request: the request without a wanted plan.
        good: what is wanted.
        fixed: restrictions never lifted, as they are part of what is wanted.
    """

    def __init__(
        self, request: PlanRequest, good: Good, fixed: Collection[Restriction] = ()
    ) -> None:
        self.request = request
        self.all = tuple(one for one in restrictions_of(request) if one not in fixed)
        self.good = good
        self.thorough = False
        self._known: dict[frozenset[Restriction], bool] = {}

    def ready(self, request: PlanRequest) -> dt.datetime | None:
        """When a request's plan is safely ready; None where it is not what was wanted."""
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

    def smallest(self, gone: Collection[Restriction]) -> tuple[Restriction, ...]:
        """A smallest set of reasons among the restrictions that are not lifted already.

        Empty where there is no wanted plan even with all lifted.
        """
        kept = [one for one in self.all if one not in set(gone)]
        kept = self._halved(kept)
        again = True
        while again:  # twice at most, unless lifting something once made a plan worse
            again = False
            for one in list(kept):
                fewer = [other for other in kept if other != one]
                if not self.only(fewer):
                    kept, again = fewer, True
        return tuple(kept)

    def _halved(self, kept: list[Restriction]) -> list[Restriction]:
        """The restrictions without the longest first part that is not needed, in few trials."""
        low, high = 0, len(kept)
        while low < high:
            middle = (low + high + 1) // 2
            if self.only(kept[middle:]):
                high = middle - 1
            else:
                low = middle
        return kept[low:]


def obstacles(trial: Trial) -> tuple[Obstacle, ...]:
    """What stands in the way of a wanted plan, one smallest set after the other.

    With the restrictions of all the sets lifted there is a wanted plan, unless the last is empty
    (then nothing that can be lifted helps) or there are very many.
    """
    sets: list[tuple[Restriction, ...]] = []
    gone: tuple[Restriction, ...] = ()
    while not trial.without(gone) and len(sets) < _MOST_SETS:
        least = trial.smallest(gone)
        if not trial.thorough and _fact(trial, least) is None:
            trial.look_harder()  # the solver finds what the forward planner missed
            continue
        sets.append(least)
        if not sets[-1]:
            break
        gone += sets[-1]
    facts = [(own, _fact(trial, own)) for own in sets]
    return tuple(
        Obstacle(own, fact, tuple(one for one in gone if one not in own))
        for own, fact in facts
        if fact is not None
    )


def _fact(trial: Trial, only: tuple[Restriction, ...]) -> str | None:
    """What the planner says with only these restrictions in force; empty if there is a plan.

    None where that is a wanted plan, which only a longer search finds: then they are no obstacle.
    """
    try:
        built, found = lay_out(lifted(trial.request, set(trial.all) - set(only)))
    except NoPlan as fault:
        return f"{fault.where}: {fault.fact}" if fault.where else fault.fact
    return None if trial.good(built, found) else ""
