"""What each node of the network stands for in the shop, and what became known while building."""

from __future__ import annotations

from dataclasses import dataclass, field

from finplan.planning.hours import Axis
from finplan.planning.loads import Load
from finplan.planning.network import Node, Stay
from finplan.planning.request import PlanRequest
from finplan.planning.tables import Tables
from finplan.trade.project import Batch, Project
from finplan.trade.steps import Step, StepKind


@dataclass(frozen=True, slots=True)
class Item:
    """The step, load and project behind a node; ``pieces`` are those of the load."""

    project: Project
    batch: Batch
    load: int
    loads: int
    step: Step
    area_m2: float
    minutes: float
    pieces: int


@dataclass(slots=True)
class Site:
    """What is gathered while the network is built; ``items`` runs along with ``nodes``."""

    request: PlanRequest
    axis: Axis
    tables: Tables
    nodes: list[Node] = field(default_factory=list)
    items: list[Item] = field(default_factory=list)
    wet_now: list[Stay] = field(default_factory=list)
    dust_now: list[Stay] = field(default_factory=list)
    on_rack: list[Stay] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)
    _able: dict[StepKind, tuple[int, ...]] = field(default_factory=dict)

    def add(self, node: Node, item: Item) -> int:
        """Add a node and what it stands for; return its number."""
        self.nodes.append(node)
        self.items.append(item)
        return len(self.nodes) - 1

    def load_begins(self, index: int) -> int:
        """The first node of the chain a node belongs to; a chain's nodes are added in a row."""
        chain = self.nodes[index].chain
        while index > 0 and self.nodes[index - 1].chain == chain:
            index -= 1
        return index

    def able(self, kind: StepKind) -> tuple[int, ...]:
        """The numbers of the people who can do a kind of step."""
        if kind not in self._able:
            people = enumerate(self.request.workshop.people)
            self._able[kind] = tuple(at for at, one in people if one.can is None or kind in one.can)
        return self._able[kind]


@dataclass(frozen=True, slots=True)
class Stretch:
    """A run of steps of one load (or of the joined batch) to be made into a chain."""

    project: Project
    batch: Batch
    number: int
    loads: int
    load: Load
    steps: tuple[Step, ...]
    chain: int
    space: int
    joined: bool


def step_id(project: str, batch: str, load: int, step: str) -> str:
    """The id of a planned step."""
    return f"{project}/{batch}/{load}/{step}"
