"""Blocks cut where a load waits between its coats, so that other work can be put in there."""

from __future__ import annotations

from dataclasses import replace

from finplan.planning.network import Block, Network


def in_parts(network: Network) -> Network:
    """The network with each block cut before what follows a coat and its wiping.

    A load lies on the rack from its first part until the last is dry to handle. The optional work
    of a block stays in its first part, though it is for the windows of all of them; where nothing
    makes up for a missed window the block stays whole.
    """
    chains = [
        replace(
            chain, blocks=tuple(part for block in chain.blocks for part in _cut(network, block))
        )
        for chain in network.chains
    ]
    return replace(network, chains=tuple(chains))


def _cut(network: Network, block: Block) -> list[Block]:
    if block.windows and network.optional.isdisjoint(block.nodes):
        return [block]
    parts: list[list[int]] = [[]]
    coated = False
    for index in block.nodes:
        node = network.nodes[index]
        if coated and node.glued is None:
            parts.append([])
            coated = False
        coated = coated or node.wet is not None
        parts[-1].append(index)
    return [
        replace(
            block,
            nodes=tuple(nodes),
            windows=tuple(window for window in block.windows if window.node in nodes),
            held_from_s=None if number else block.held_from_s,
            goes_on=number > 0,
            more=number < len(parts) - 1,
        )
        for number, nodes in enumerate(parts)
    ]
