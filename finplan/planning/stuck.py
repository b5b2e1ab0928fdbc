"""Why there is no plan: the sentence for a step that finds no place, and what would free it."""

from __future__ import annotations

from finplan.planning.build import Built
from finplan.planning.hours import SLOT_S
from finplan.planning.network import Node
from finplan.planning.shop import Shop
from finplan.planning.words import length, named, reached

_ENOUGH = 96
"""Slots of a whole day; longer stretches are not told apart."""


def no_place(built: Built, index: int) -> tuple[str, str]:
    """What keeps a node from any place: the sentence and where it stands."""
    node, item = built.network.nodes[index], built.site.items[index]
    where = f"{item.project.name}, {named(item)}"
    people = built.site.request.workshop.people
    if not node.people:
        return f"nobody in the workshop does {item.step.kind.value!r}: add somebody who can", where
    hours = [built.network.axis.free[person] for person in node.people]
    names = ", ".join(people[person].name for person in node.people)
    days = built.site.request.horizon_days
    if not any(hours):
        what = f"no work window of {names} opens in the next {days} days: give hours to work in"
        return what, where
    shop = Shop(built.network)
    if not node.split and not _fits(shop, node):
        longest = length(_longest(built, hours) * SLOT_S)
        return (
            f"it takes {length(node.slots * SLOT_S)} at a stretch and no work window is longer "
            f"than {longest}: lengthen a window, or cut the batch into smaller loads",
            where,
        )
    if node.wet is not None and not any(
        shop.runs(node, person) & node.starts for person in node.people
    ):
        finish = built.site.request.finishes[item.step.finish or ""]
        return (
            f"in the next {days} days there is no work hour in which the air in "
            f"{item.batch.space!r} is good enough for {finish.title}: warm or dry the space, work "
            "at other hours, or choose another finish",
            where,
        )
    return (
        f"there is no room for it in the work hours of the next {days} days: add hours, rack or "
        "spaces, or look further ahead",
        where,
    )


def never_ready(built: Built, index: int) -> tuple[str, str]:
    """What a node waits for that never comes: the sentence and where it stands."""
    node, item = built.network.nodes[index], built.site.items[index]
    where = f"{item.project.name}, {named(item)}"
    for lag in node.after:
        if lag.stage is not None:
            coat = built.site.items[lag.before]
            return (
                f"{named(coat)} never gets {reached(lag.stage)} in the air of "
                f"{coat.batch.space!r}: warm the space, or choose another finish or stage",
                where,
            )
    return "what it waits for never comes: check the steps before it", where


def _fits(shop: Shop, node: Node) -> bool:
    return any(shop.runs(node, person) for person in node.people)


def _longest(built: Built, hours: list[int]) -> int:
    """The longest unbroken stretch of anybody's hours, in slots."""
    longest = 0
    for mask in hours:
        run, count = mask, 0
        while run and count < _ENOUGH:
            count += 1
            run &= (mask >> count) & (built.network.axis.joined >> (count - 1))
        longest = max(longest, count)
    return longest
