"""Which recoat window would be missed if a step stood at another hour."""

from __future__ import annotations

from collections.abc import Iterator

from finplan.planning.build import Built
from finplan.planning.network import Network, State, Window, lag_s
from finplan.planning.place_nodes import first_of
from finplan.planning.shop import Shop
from finplan.planning.words import hour, named


def too_late_after(built: Built, shop: Shop, index: int, slot: int) -> str:
    """What would go on after its window if a step started at a slot; empty if nothing would.

    The work that follows is taken as early as waits and hours allow, whatever else is planned.

    Args:
        built: what is planned.
        shop: the finished layout.
        index: the node of the step.
        slot: where it would start.
    """
    network, items = built.network, built.site.items
    axis, empty = network.axis, Shop(network)
    last = {**shop.last, index: slot + network.nodes[index].slots - 1}
    ends = {**shop.ends, index: axis.end_s(last[index])}
    for after, windows in _following(network, shop, index):
        node = network.nodes[after]
        earliest = max([node.release_s, *(lag_s(lag, ends, last) for lag in node.after)])
        if node.state is not State.WORK:
            ends[after] = earliest
            continue
        mask = empty.free[node.people[0]] if node.split else empty.starts(node)
        start = first_of(mask, axis.first_at_or_after(earliest))
        if start is None:
            return ""
        last[after] = min(start + node.slots, len(axis)) - 1
        ends[after] = axis.end_s(last[after])
        for window in windows:
            closing = _closing(window, last)
            if closing is not None and axis.starts[start] > closing:
                zone = built.site.request.told_in
                return (
                    f"if begun at {hour(axis.starts[slot], zone)}, the recoat window of "
                    f"{named(items[window.before])} would close {hour(closing, zone)}, before "
                    f"{named(items[after])} could go on"
                )
    return ""


def _following(network: Network, shop: Shop, index: int) -> Iterator[tuple[int, list[Window]]]:
    """The nodes after one in its block and the next, with the windows of each.

    Where scuffing came in, its block has no window to be in time for.
    """
    blocks = network.chains[network.nodes[index].chain].blocks
    number = next((at for at, block in enumerate(blocks) if index in block.nodes), None)
    if number is None:
        return
    for block in blocks[number : number + 2]:
        scuffed = any(network.nodes[node].optional and node in shop.placed for node in block.nodes)
        for node in block.nodes:
            if node > index and not network.nodes[node].optional:
                windows = () if scuffed else block.windows
                yield node, [window for window in windows if window.node == node]


def _closing(window: Window, last: dict[int, int]) -> int | None:
    if window.closes is None or window.before not in last:
        return window.fixed_s
    return window.closes[last[window.before]]
