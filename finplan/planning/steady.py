"""Keep to the plan before: least change comes after all else that makes a plan good."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

from finplan.planning.build import Built
from finplan.planning.forward import Found, Orders, Weights, rank
from finplan.planning.hours import SLOT_S
from finplan.planning.kept import KeptPlan
from finplan.planning.network import Network, Placed, State
from finplan.planning.rebuild import rebuilt
from finplan.planning.shop import Stuck
from finplan.planning.tidy import loose, tidy

_WORTH_S = 24 * 3600
"""Starts earlier by a day in all are worth a change (an assumption: a plan that jumps for less
is a nuisance)."""


def _earlier(built: Built, before: KeptPlan) -> dict[int, Placed]:
    """Where the plan before had the work that is still open; what has no hours now is left out."""
    network, kept = built.network, {step.id: step for step in before.steps if not step.done}
    numbers = {one.name: at for at, one in enumerate(built.site.request.workshop.people)}
    places = {}
    for index, node in enumerate(network.nodes):
        step = kept.get(node.id)
        if step is None or node.state is not State.WORK:
            continue
        slots = [
            network.axis.first_at_or_after(at_s)
            for start, end in step.pieces
            for at_s in range(
                int(start.timestamp()) // SLOT_S * SLOT_S, int(end.timestamp()), SLOT_S
            )
        ]
        person = numbers.get(step.person, node.people[0])
        places[index] = Placed(tuple(sorted(set(slots)))[: node.slots], person)
    return places


def as_it_was(built: Built, before: KeptPlan) -> Found | None:
    """The plan before, hour for hour; None where a step of it has no hours any more.

    Whether it still holds is for the checker to say.
    """
    network, places = built.network, _earlier(built, before)
    for index, node in enumerate(network.nodes):
        if node.state is not State.WORK or (node.optional and index not in places):
            continue
        if index not in places or len(places[index].slots) < node.slots:
            return None
    if any(place.slots[-1] >= len(network.axis) for place in places.values()):
        return None
    return rebuilt(network, places)


def steadied(built: Built, fresh: Found, before: KeptPlan) -> Found:
    """The layout that keeps to the plan before, unless another one is better.

    Tried are every step at its earlier hour where that is still allowed, and the earlier order
    as early as it goes. A change has to make all ready sooner, save a session, or let the work
    begin a day earlier in all.

    Args:
        built: what is planned.
        fresh: a layout made without regard to the plan before.
        before: the plan before; steps it does not have are free.
    """
    network, earlier = built.network, _earlier(built, before)
    first = {index: float(place.slots[0]) for index, place in earlier.items()}
    as_early_as_it_goes = in_order(network, first)
    if as_early_as_it_goes is not None:
        as_early_as_it_goes = tidy(network, as_early_as_it_goes)
    best: Found | None = None
    for found in (_at_its_hours(network, earlier, first), as_early_as_it_goes, fresh):
        if found is not None and (best is None or worth_a_change(network, found, best)):
            best = found
    return best or fresh


def worth_a_change(network: Network, new: Found, old: Found) -> bool:
    """Whether a layout is so much better than the one before that people take a change for it."""
    unkept, (ready, sum_ready, sessions, starts) = rank(network, new)
    old_unkept, (old_ready, old_sum, old_sessions, old_starts) = rank(network, old)
    better = (unkept, ready, sum_ready, sessions)
    than = (old_unkept, old_ready, old_sum, old_sessions)
    return better < than or (better == than and starts <= old_starts - _WORTH_S)


def _at_its_hours(
    network: Network, earlier: Mapping[int, Placed], first: Mapping[int, float]
) -> Found | None:
    """Each step at its earlier hour, as if somebody wished it; the next best hour if not."""
    nodes, starts = list(network.nodes), network.axis.starts
    for index, place in earlier.items():
        node = nodes[index]
        people = tuple(sorted(node.people, key=lambda person: person != place.person))
        wish_s = node.wish_s
        if wish_s is None and place.slots[0] < len(starts):
            wish_s = starts[place.slots[0]]
        nodes[index] = replace(node, people=people, wish_s=wish_s)
    found = in_order(replace(network, nodes=tuple(nodes)), first)
    if found is None:
        return None
    found = rebuilt(network, found.layout.placed)
    return tidy(network, found) if loose(network, found) else found


def in_order(network: Network, starts: Mapping[int, float]) -> Found | None:
    """The blocks in a given order, each as early as it goes; None where one finds no place.

    Args:
        network: what is planned.
        starts: what the nodes are ordered by; those it leaves out come last.
    """
    weights: list[Weights] = [
        [-min(starts.get(node, math.inf) for node in block.nodes) for block in chain.blocks]
        for chain in network.chains
    ]
    try:
        return Orders(network).lay_out(weights, by_time=False)
    except Stuck:
        return None
