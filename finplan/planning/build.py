"""From projects, workshop, air and journal to one network."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace

from finplan.journal.progress import Progress
from finplan.planning.blocks import blocks_of
from finplan.planning.hours import NEVER_S, axis_of
from finplan.planning.items import Site, Stretch
from finplan.planning.loads import Load, cut_into_loads, together
from finplan.planning.network import Chain, Network, Stay
from finplan.planning.request import PlanRequest
from finplan.planning.tables import Tables
from finplan.planning.walk import Walk, walk_stretch
from finplan.trade.errors import BadInput
from finplan.trade.moments import find_zone
from finplan.trade.project import Batch, Project
from finplan.trade.steps import Step, StepKind, cut_at_joining


@dataclass(frozen=True, slots=True)
class Built:
    """The network and what its nodes stand for."""

    network: Network
    site: Site


@dataclass(slots=True)
class _Cut:
    """A batch cut into loads, with the steps before and after the loads are joined."""

    project: Project
    batch: Batch
    loads: tuple[Load, ...]
    whole: Load
    apart: tuple[Step, ...]
    joined: tuple[Step, ...]
    walks: list[Walk]


def build(request: PlanRequest, horizon_days: int) -> Built:
    """Build the network of all projects of a request.

    Projects, batches and people are taken by name, so their order in the request changes nothing.

    Args:
        request: what is to be planned.
        horizon_days: how far ahead the axis of work hours goes.

    Raises:
        NoPlan: if a piece is larger than the rack or nobody has hours.
        BadInput: if a name leads nowhere or a rule cannot be read.
    """
    people = tuple(sorted(request.workshop.people, key=lambda one: one.name))
    workshop = replace(request.workshop, people=people)
    request = replace(request, workshop=workshop)
    axis = axis_of(
        workshop.people,
        find_zone(workshop.zone),
        request.now,
        request.now + dt.timedelta(days=horizon_days),
    )
    site = Site(request, axis, Tables(request, axis))
    chains: list[Chain] = []
    finals = []
    for project in sorted(request.projects, key=lambda one: one.name):
        first = len(chains)
        cuts = [
            _walk_apart(site, project, batch, chains)
            for batch in sorted(project.batches, key=lambda one: one.name)
        ]
        if not cuts:
            raise BadInput("the project has no batches: add one", project.name)
        _walk_joined(site, project, cuts, chains)
        finals.append(_last_nodes(site, first))
    network = Network(
        axis=axis,
        nodes=tuple(site.nodes),
        chains=tuple(chains),
        rack_m2=tuple(space.rack_area_m2 for space in workshop.spaces),
        dust_apart=tuple(space.dust_apart for space in workshop.spaces),
        settle_s=workshop.dust_settles_minutes * 60,
        least_slots=max(1, -(-workshop.shortest_piece_minutes * 60 // 900)),
        finals=tuple(finals),
        wet_now=tuple(site.wet_now),
        dust_now=tuple(site.dust_now),
        on_rack=tuple(site.on_rack),
    )
    return Built(network, site)


def _walk_apart(site: Site, project: Project, batch: Batch, chains: list[Chain]) -> _Cut:
    """Walk each load of a batch up to where the loads are joined."""
    request = site.request
    if not batch.steps:
        raise BadInput(
            "the batch has no steps: give it a finishing schedule",
            f"{project.name}, batch {batch.name}",
        )
    space = _space(request, batch, project)
    rack = request.workshop.spaces[space].rack_area_m2
    progress = request.progress.get(project.name, Progress())
    fixed = progress.loads.get(batch.name)
    loads = cut_into_loads(project, batch, rack, dict(progress.spoiled), fixed, request.units)
    apart, joined = cut_at_joining(batch.steps)
    cut = _Cut(project, batch, loads, together(loads, rack), apart, joined, [])
    for number, load in enumerate(loads, 1):
        walk = Walk()
        stretch = Stretch(
            project, batch, number, len(loads), load, cut.apart, len(chains), space, joined=False
        )
        walk_stretch(site, stretch, walk)
        cut.walks.append(walk)
        chains.append(_chain(site, stretch, walk))
    return cut


def _walk_joined(site: Site, project: Project, cuts: list[_Cut], chains: list[Chain]) -> None:
    """Walk what is done to whole batches; assembly waits for all batches of the project.

    It waits for the drying of all of them too: every piece is touched.
    """
    all_apart = [node for cut in cuts for walk in cut.walks for node in walk.before]
    all_wet = [node for cut in cuts for walk in cut.walks for node in walk.wet]
    for cut in cuts:
        if not cut.joined:
            continue
        walk = Walk()
        for load in cut.walks:
            walk.before += load.before
            walk.wet += load.wet
            walk.under.update(load.under)
        if project.assembled_together and cut.joined[0].kind is StepKind.ASSEMBLE:
            walk.before = sorted({*walk.before, *all_apart})
            walk.wet = sorted({*walk.wet, *all_wet})
        space = _space(site.request, cut.batch, project)
        stretch = Stretch(
            project,
            cut.batch,
            1,
            len(cut.loads),
            cut.whole,
            cut.joined,
            len(chains),
            space,
            joined=True,
        )
        walk_stretch(site, stretch, walk)
        chains.append(_chain(site, stretch, walk))


def _chain(site: Site, stretch: Stretch, walk: Walk) -> Chain:
    blocks = blocks_of(site, walk)
    for block in blocks:
        if block.held_from_s is not None:
            site.on_rack.append(Stay(stretch.chain, block.held_from_s, NEVER_S))
    name = f"{stretch.project.name}/{stretch.batch.name}/{stretch.number}"
    return Chain(name, stretch.space, stretch.load.rack_m2, blocks)


def _space(request: PlanRequest, batch: Batch, project: Project) -> int:
    for number, space in enumerate(request.workshop.spaces):
        if space.name == batch.space:
            if space.name not in request.air:
                raise BadInput(f"space {space.name!r} has no air: add readings or normals")
            return number
    known = ", ".join(space.name for space in request.workshop.spaces) or "none"
    raise BadInput(
        f"space {batch.space!r} is not in the workshop: name one of {known}",
        f"{project.name}, batch {batch.name}",
    )


def _last_nodes(site: Site, first_chain: int) -> tuple[int, ...]:
    """The nodes no other node of the project waits for."""
    own = [at for at, node in enumerate(site.nodes) if node.chain >= first_chain]
    awaited = {lag.before for at in own for lag in site.nodes[at].after}
    return tuple(at for at in own if at not in awaited)
