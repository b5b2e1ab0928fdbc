"""Why there is no plan: the sentence for a step that finds no place, and what would free it."""

from __future__ import annotations

from finplan.planning.build import Built
from finplan.planning.hours import SLOT_S
from finplan.planning.network import Node
from finplan.planning.request import NoPlan
from finplan.planning.shop import Shop
from finplan.planning.words import length, named, reached

_ENOUGH = 96
"""Slots of a whole day; longer stretches are not told apart."""


def no_place(built: Built, index: int) -> NoPlan:
    """What keeps a node from any place."""
    node, item = built.network.nodes[index], built.site.items[index]
    where = f"{item.project.name}, {named(item)}"
    people = built.site.request.workshop.people
    days = built.site.request.horizon_days
    if not node.people:
        fact = f"nobody in the workshop does {item.step.kind.value!r}"
        return NoPlan(fact, where, "add somebody who can")
    hours = [built.network.axis.free[person] for person in node.people]
    names = " or ".join(people[person].name for person in node.people)
    if not any(hours):
        fact = f"no work window of {names} opens in the next {days} days"
        return NoPlan(fact, where, "give hours to work in")
    shop = Shop(built.network)
    longest = longest_slots(built, hours)
    if node.split and longest < (least := min(built.network.least_slots, node.slots)):
        return NoPlan(
            f"no work window of {names} is longer than {length(longest * SLOT_S)}, and no piece of "
            f"split work is shorter than {length(least * SLOT_S)}",
            where,
            "lengthen a window",
        )
    need, what = _stretch(built, index)
    if not node.split and not _room(shop, node, need):
        return NoPlan(
            f"it takes {length(need * SLOT_S)} at a stretch{what} and no work window of {names} "
            f"is longer than {length(longest * SLOT_S)}",
            where,
            "lengthen a window, or cut the batch into smaller loads",
        )
    if node.wet is not None and not _room(shop, node, need) & node.starts:
        finish = built.site.request.finishes[item.step.finish or ""]
        return NoPlan(
            f"in the next {days} days there is no work hour in which the air in "
            f"{item.batch.space!r} is good enough for {finish.title}",
            where,
            "warm or dry the space, work at other hours, or choose another finish",
        )
    return NoPlan(
        f"there is no room for it in the work hours of the next {days} days",
        where,
        "add hours, rack or spaces, or look further ahead",
    )


def never_ready(built: Built, index: int) -> NoPlan:
    """What a node waits for that never comes."""
    node, item = built.network.nodes[index], built.site.items[index]
    where = f"{item.project.name}, {named(item)}"
    for lag in node.after:
        if lag.stage is not None:
            coat = built.site.items[lag.before]
            return NoPlan(
                f"{named(coat)} never gets {reached(lag.stage)} in the air of {coat.batch.space!r}",
                where,
                "warm the space, or choose another finish or stage",
            )
    return NoPlan("what it waits for never comes", where, "check the steps before it")


def _stretch(built: Built, index: int) -> tuple[int, str]:
    """The slots a node takes without a break, with the wiping that belongs to it."""
    nodes = built.network.nodes
    node, after = nodes[index], index + 1
    glued = nodes[after].glued if after < len(nodes) else None
    if glued is None or nodes[after].chain != node.chain:
        return node.slots, ""
    return node.slots + glued[0] + nodes[after].slots, " with its wiping"


def _room(shop: Shop, node: Node, need: int) -> int:
    """Mask of slots from which somebody has a node's hours, and the session goes on as needed."""
    mask = 0
    for person in node.people:
        mask |= shop.runs(node, person)
    return mask & shop.network.axis.unbroken(need - 1) if need > node.slots else mask


def longest_slots(built: Built, hours: list[int]) -> int:
    """The longest unbroken stretch of anybody's hours, in slots."""
    longest = 0
    for mask in hours:
        run, count = mask, 0
        while run and count < _ENOUGH:
            count += 1
            run &= (mask >> count) & (built.network.axis.joined >> (count - 1))
        longest = max(longest, count)
    return longest
