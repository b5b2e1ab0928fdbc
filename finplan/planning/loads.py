"""Batches cut into loads that fit on the rack."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass, replace
from heapq import heapreplace

from finplan.planning.request import NoPlan
from finplan.trade.errors import BadInput
from finplan.trade.parts import Part, SurfaceAreas
from finplan.trade.project import Batch, Project
from finplan.trade.quantities import Units, format_area, format_length
from finplan.trade.surfaces import footprint_m2, total_areas

_LEAST_AREA_M2 = 1e-9


@dataclass(frozen=True, slots=True)
class Load:
    """The share of a batch that is on the rack at once: pieces, rack area, faces to finish."""

    parts: tuple[Part, ...]
    rack_m2: float
    areas: SurfaceAreas


def cut_into_loads(
    project: Project,
    batch: Batch,
    rack_area_m2: float,
    spoiled: dict[str, int],
    loads: int | None,
    units: Units = Units.METRIC,
) -> tuple[Load, ...]:
    """Share a batch's pieces out evenly over as few loads as fit on the rack and are asked for.

    Args:
        project: whose parts the batch names.
        batch: what to cut.
        rack_area_m2: the space's rack.
        spoiled: pieces lost, by part.
        loads: the number fixed when work began, None to choose it.
        units: of the error.

    Raises:
        NoPlan: if one piece is larger than the rack.
        BadInput: if a part is unknown or nothing is left.
    """
    parts = _parts_left(project, batch, spoiled)
    each = [
        (footprint_m2(_pieces_of(part, 1), batch.rack_share), part.name, part.quantity)
        for part in parts
    ]
    pieces = [
        (area, name) for area, name, quantity in sorted(each, reverse=True) for _ in range(quantity)
    ]
    by_name = {part.name: part for part in parts}
    if loads is None:
        _refuse_too_large(project, batch, pieces, by_name, rack_area_m2, units)
        total = sum(area for area, _ in pieces)
        fewest = min(batch.least_loads, len(pieces))
        loads = max(fewest, math.ceil(total / rack_area_m2 - 1e-9))
        while not (cut := _share_out(pieces, loads, rack_area_m2)):
            loads += 1
    else:
        cut = _share_out(pieces, max(1, loads), math.inf)
    return tuple(_load(names, by_name, batch.rack_share) for names in cut)


def together(loads: tuple[Load, ...], rack_area_m2: float) -> Load:
    """All loads of a batch as one, as it stands once it is joined."""
    return Load(
        tuple(part for load in loads for part in load.parts),
        min(rack_area_m2, sum(load.rack_m2 for load in loads)),
        sum((load.areas for load in loads), SurfaceAreas()),
    )


def _parts_left(project: Project, batch: Batch, spoiled: dict[str, int]) -> list[Part]:
    known = {part.name: part for part in project.parts}
    left = []
    for name in sorted(batch.parts):
        where = f"{project.name}, batch {batch.name}"
        if name not in known:
            raise BadInput(f"part {name!r} is not in the project: add it or take it out", where)
        quantity = known[name].quantity - spoiled.get(name, 0)
        if quantity > 0:
            left.append(_pieces_of(known[name], quantity))
    if not left:
        raise BadInput(
            "the batch has no pieces left: give it parts or take it out",
            f"{project.name}, batch {batch.name}",
        )
    return left


def _refuse_too_large(
    project: Project,
    batch: Batch,
    pieces: list[tuple[float, str]],
    by_name: dict[str, Part],
    rack_area_m2: float,
    units: Units,
) -> None:
    area, name = pieces[0]
    if area <= rack_area_m2 * (1 + 1e-9):
        return
    part = by_name[name]
    sizes = (part.length_mm, part.width_mm, part.thickness_mm)
    size = " × ".join(format_length(one, units) for one in sizes)
    taken, rack = format_area(area, units), format_area(rack_area_m2, units)
    raise NoPlan(
        f"part {name!r} ({size}) takes {taken} and the rack in {batch.space!r} has {rack}",
        f"{project.name}, batch {batch.name}",
        f"give the space a larger rack, or the batch a smaller rack share than "
        f"{batch.rack_share:g}",
    )


def _share_out(pieces: list[tuple[float, str]], loads: int, rack_area_m2: float) -> list[list[str]]:
    """Largest piece first into the emptiest load; empty if a load comes out too full."""
    most = rack_area_m2 * (1 + 1e-9)
    taken = [(0.0, number) for number in range(loads)]  # a heap: the emptiest load first
    cut: list[list[str]] = [[] for _ in range(loads)]
    for area, name in pieces:
        area_m2, number = taken[0]
        area_m2 += max(area, _LEAST_AREA_M2)
        if area_m2 > most:
            return []
        heapreplace(taken, (area_m2, number))
        cut[number].append(name)
    return cut


def _load(names: list[str], by_name: dict[str, Part], rack_share: float) -> Load:
    counted = sorted(Counter(names).items())
    parts = tuple(_pieces_of(by_name[name], count) for name, count in counted)
    return Load(parts, sum(footprint_m2(part, rack_share) for part in parts), total_areas(parts))


def _pieces_of(part: Part, quantity: int) -> Part:
    """So many pieces of a part; the part itself where it has that many, as making one is slow."""
    return part if part.quantity == quantity else replace(part, quantity=quantity)
