"""What the solving child and its parent say to each other."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from finplan.planning.flat import Tasks
from finplan.planning.network import Network, Placed

Layouts = dict[int, Placed]


@dataclass(frozen=True, slots=True)
class Effort:
    """How hard to search: seconds, threads, and the seed of the search's chance.

    With one thread and a search that ends by itself the result is the same every time; with
    more, or when time runs out, it may differ.
    """

    seconds: float
    workers: int = 2
    seed: int = 0


@dataclass(frozen=True, slots=True)
class Job:
    """What is to be solved: a network and its work, a layout to start from and to beat.

    ``pins``: the slots of work kept where somebody wished it.
    """

    network: Network
    tasks: Tasks
    hint: Layouts
    most_s: int
    effort: Effort
    pins: Mapping[int, int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Word:
    """What the child tells: a layout, or how far it was proved.

    ``bound_quarters``: no plan is ready sooner, quarter hours from now; ``proved``: the layout
    sent last has the earliest possible ready time; ``closed``: nothing more will come.
    """

    layout: Layouts | None
    bound_quarters: int = 0
    proved: bool = False
    closed: bool = False
