"""What the solving child and its parent say to each other."""

from __future__ import annotations

from dataclasses import dataclass, field

from finplan.planning.flat import Kept
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
    """What is to be solved: a network, a layout to start from and to beat, and what it keeps to.

    ``now_s``: the instant ready times are counted from. ``most_s``: when the layout is ready.
    """

    network: Network
    now_s: int
    hint: Layouts
    most_s: int
    effort: Effort
    kept: Kept = field(default_factory=Kept)


@dataclass(frozen=True, slots=True)
class Word:
    """What the child tells: a layout, or how far it was proved.

    ``bound_quarters``: no plan is ready sooner, quarter hours from now; ``closed``: nothing more
    will come. ``settled``: the search ended by itself, not by the clock.
    """

    layout: Layouts | None
    bound_quarters: int = 0
    closed: bool = False
    settled: bool = False


READY = Word(None)
"""What a child says that waits for its job."""
