"""Where the forward planner is stuck although a layout may exist: the solver looks for one."""

from __future__ import annotations

from multiprocessing.connection import Connection

from finplan.planning.aside import load_solver, start_aside
from finplan.planning.bound import alone
from finplan.planning.flat import Kept, Tasks, flatten
from finplan.planning.forward import Found
from finplan.planning.hours import NEVER_S
from finplan.planning.network import Network
from finplan.planning.rebuild import rebuilt
from finplan.planning.search_words import Layouts
from finplan.planning.shop import Stuck

_SECONDS = 5.0
"""Given to each of the two searches."""
_GRACE_S = 3.0


def rescued(network: Network, now_s: int, seed: int = 0) -> Found | None:
    """A layout of a network in which the forward planner leaves a node without a place.

    It fills the shop block by block and takes nothing back, so where room is scarce it may miss
    what is there. Recoat windows are kept if they can be; a wish is let go.

    Args:
        network: the network.
        now_s: the instant it is, seconds.
        seed: fixes the search's chance.

    Returns:
        None if there is no layout, or none was found in time.
    """
    try:
        early = alone(network)
    except Stuck:
        return None  # a load finds no place even with the shop to itself
    unmended = frozenset(
        window.node
        for chain in network.chains
        for block in chain.blocks
        if not any(network.nodes[node].optional for node in block.nodes)
        for window in block.windows
    )
    for missed in (frozenset[int](), unmended) if unmended else (unmended,):
        tasks = flatten(network, early, NEVER_S, now_s, kept=Kept(missed=missed))
        layout = _searched(tasks, seed) if tasks is not None and _has_slots(tasks) else {}
        if layout:
            return rebuilt(network, layout)
    return None


def _has_slots(tasks: Tasks) -> bool:
    return all(task.optional or any(task.starts.values()) for task in tasks.tasks)


def _searched(tasks: Tasks, seed: int) -> Layouts:
    """What a child process finds; nothing if it dies, or none is to be had."""
    try:
        child, ours = start_aside(_child)
    except OSError:
        return {}
    try:
        ours.send((tasks, seed))
        if ours.poll(_SECONDS + _GRACE_S):
            layout: Layouts = ours.recv()
            return layout
    except (EOFError, ConnectionError):
        pass
    finally:
        child.kill()
        child.join()
        ours.close()
    return {}


def _child(theirs: Connection) -> None:
    load_solver()
    from finplan.planning.any_layout import any_layout

    tasks, seed = theirs.recv()
    theirs.send(any_layout(tasks, NEVER_S, _SECONDS, seed))
