"""The finishes: the library's and the user's own, every number with its source."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from finplan.services.gather import all_finishes
from finplan.services.reading import read_text
from finplan.trade.errors import BadInput
from finplan.trade.finishes import STAGE_ORDER, Finish
from finplan.trade.numbers import Number, Span
from finplan.trade.quantities import Units, degrees_in, format_spread, format_temperature

if TYPE_CHECKING:
    from pathlib import Path

    from finplan.services.session import Session
    from finplan.trade.project import Project


@dataclass(frozen=True, slots=True)
class Fact:
    """One number of a finish for people: ``value`` with its unit, and where it is from."""

    name: str
    value: str
    source: str


_NUMBERS: tuple[tuple[str, str, str], ...] = (
    ("coats", "coats", ""),
    ("spread_first_m2_per_l", "spread, first coat", "m²/L"),
    ("spread_later_m2_per_l", "spread, later coats", "m²/L"),
    ("coldest_c", "coldest advised", "°C"),
    ("refuse_below_c", "refused below", "°C"),
    ("warmest_c", "warmest", "°C"),
    ("dampest_air_percent", "dampest air", "% RH"),
    ("dampest_wood_percent", "dampest wood", "%"),
    ("window_closes_hours", "recoat window closes", "h"),
    ("wipe_off_minutes", "wipe off after", "min"),
    ("pot_life_hours", "pot life", "h"),
    ("dry_film_um", "dry film of a coat", "µm"),
    ("shelf_life_months", "shelf life", "months"),
    ("activation_energy_kj_per_mol", "activation energy", "kJ/mol"),
    ("interval_months", "renewed outdoors every", "months"),
)

_CONVERTED = {"m²/L": format_spread, "°C": format_temperature}


def list_finishes(session: Session) -> tuple[Finish, ...]:
    """Return all finishes by name, the user's own in place of the library's."""
    with session.store.unit(writes=False) as unit:
        known = all_finishes(unit)
    return tuple(known[name] for name in sorted(known))


def finish_named(session: Session, name: str) -> Finish:
    """Return one finish.

    Raises:
        BadInput: there is none of this name; the nearest is offered.
    """
    from finplan.library.load import find_finish

    with session.store.unit(writes=False) as unit:
        return find_finish(name, all_finishes(unit))


def add_own(session: Session, path: Path) -> tuple[Finish, ...]:
    """Take the user's own finishes from a file, in place of any of the same name.

    Raises:
        BadInput: the first fault of the file. Nothing is kept then.
    """
    from finplan.library.own import parse_own_finishes

    found = parse_own_finishes(read_text(path), path.name)
    with session.store.unit() as unit:
        for finish in found:
            unit.finishes.put(finish)
        unit.commit()
    return found


def remove_own(session: Session, name: str) -> None:
    """Remove a finish of the user's own; one of the library's with its name counts again.

    Raises:
        BadInput: there is none, or a project needs it and the library has none of its name.
    """
    from finplan.library.load import finishes

    with session.store.unit() as unit:
        unit.finishes.get(name)
        users = [] if name in finishes() else _projects_with(unit.projects.list(), name)
        if users:
            raise BadInput(f"{', '.join(users)} needs it: give another finish there first", name)
        unit.finishes.remove(name)
        unit.commit()


def _projects_with(projects: tuple[Project, ...], finish: str) -> list[str]:
    return [
        project.name
        for project in projects
        if any(step.finish == finish for batch in project.batches for step in batch.steps)
    ]


def facts_of(finish: Finish, units: Units = Units.METRIC) -> tuple[Fact, ...]:
    """Return every number of a finish with its source; stage hours at 23 °C and 50 %."""
    return tuple(_facts(finish, units))


def _facts(finish: Finish, units: Units) -> Iterator[Fact]:
    for stage in STAGE_ORDER:
        if stage in finish.stages:
            span = finish.stages[stage]
            yield Fact(stage.value, f"{_range(span)} h", degrees_in(span.source, units))
    for field, name, unit in _NUMBERS:
        value: Number | Span | None = getattr(finish, field)
        if value is not None:
            yield Fact(name, _told(value, unit, units), degrees_in(value.source, units))


def _told(value: Number | Span, unit: str, units: Units) -> str:
    """Return a number or range with its unit, converted where the units asked for have another."""
    convert = _CONVERTED.get(unit)
    if convert is None or units is Units.METRIC:
        told = _range(value) if isinstance(value, Span) else f"{round(value.value, 2):g}"
        return f"{told} {unit}".rstrip()
    if isinstance(value, Number):
        return convert(value.value, units)
    low, high = convert(value.low, units), convert(value.high, units)
    return high if low == high else f"{low.rpartition(' ')[0]}–{high}"


def _range(span: Span) -> str:
    low, high = (f"{round(end, 2):g}" for end in (span.low, span.high))
    return low if low == high else f"{low}–{high}"
