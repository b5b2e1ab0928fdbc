"""A layout seen again as a shop: every end, stay and goal reckoned anew."""

from __future__ import annotations

from typing import TYPE_CHECKING

from finplan.planning.forward import Found, goal_of
from finplan.planning.network import Layout, Network, State
from finplan.planning.place import stay_of
from finplan.planning.shop import Shop

if TYPE_CHECKING:
    from finplan.planning.search_words import Layouts


def shop_of(network: Network, layout: Layouts, without: frozenset[int] = frozenset()) -> Shop:
    """The shop with a layout in it, some loads left out."""
    shop = Shop(network)
    for index, node in enumerate(network.nodes):
        if node.chain in without:
            continue
        if node.state is State.WAIT:
            shop.wait(index)
        elif index in layout:
            shop.take(index, layout[index].slots, layout[index].person)
    for number, chain in enumerate(network.chains):
        for block in chain.blocks if number not in without else ():
            if block.holds:
                here = tuple(node for node in block.nodes if node in layout)
                if block.held_from_s is not None:
                    shop.release(number)
                shop.hold(number, *stay_of(shop, block, here))
    return shop


def rebuilt(network: Network, layout: Layouts) -> Found:
    """A layout with its goal."""
    shop = shop_of(network, layout)
    return Found(Layout(shop.placed), goal_of(network, shop), shop)
