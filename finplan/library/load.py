"""What finplan ships: finishes, woods, grits, finishing schedules, cautions; read once."""

from __future__ import annotations

import functools
import tomllib
from collections.abc import Mapping
from importlib import resources
from types import MappingProxyType
from typing import Any

from finplan.library import tables
from finplan.library.finishes import finish_of
from finplan.library.tables import Table
from finplan.trade.cautions import Caution
from finplan.trade.errors import BadInput
from finplan.trade.finishes import Chemistry, Finish
from finplan.trade.grits import Grit, GritSystem
from finplan.trade.names import did_you_mean, shown
from finplan.trade.numbers import Number
from finplan.trade.schedules import Minutes, Scuffing, Sides, Template
from finplan.trade.steps import StepKind
from finplan.trade.upkeep import Exposure, UpkeepDefaults
from finplan.trade.woods import Wood

_WOOD_NUMBERS = ("change_radial_per_percent", "change_tangential_per_percent")


@functools.cache
def finishes() -> Mapping[str, Finish]:
    """Return the shipped finishes by name."""
    return _by_name("finishes.toml", finish_of)


@functools.cache
def woods() -> Mapping[str, Wood]:
    """Return the shipped woods by name."""
    return _by_name("woods.toml", _wood)


@functools.cache
def grits() -> Mapping[str, Grit]:
    """Return the shipped grits by name (``P120``, ``CAMI 120``), coarsest of each kind first."""
    return _by_name("grits.toml", _grit)


@functools.cache
def cautions() -> Mapping[str, Caution]:
    """Return the shipped cautions by key."""
    return _by_name("cautions.toml", _caution)


@functools.cache
def templates() -> Mapping[str, Template]:
    """Return the shipped finishing schedules by name."""
    data = _read("schedules.toml")
    minutes = {name: _minutes(table) for name, table in data["minutes"].items()}
    return MappingProxyType(
        {name: _template(name, table, minutes) for name, table in data["template"].items()}
    )


@functools.cache
def upkeep_defaults() -> UpkeepDefaults:
    """Return the shipped upkeep defaults."""
    data = _read("upkeep.toml")
    where = "upkeep.toml"
    multipliers = data["multiplier"]
    indoor = data["indoor_months"]
    return UpkeepDefaults(
        multipliers=MappingProxyType(
            {
                Exposure(key): tables.required(
                    tables.number_of(multipliers, key, where), key, where
                )
                for key in multipliers
            }
        ),
        indoor_months=MappingProxyType(
            {key: tables.required(tables.span_of(indoor, key, where), key, where) for key in indoor}
        ),
        inspect_share=tables.required(tables.number_of(data, "inspect", where), "inspect", where),
        clean_share=tables.required(tables.number_of(data, "clean", where), "clean", where),
        water_test=tables.text_of(data["water_test"], "text", where),
    )


def find_finish(name: str, known: Mapping[str, Finish], where: str = "") -> Finish:
    """Return the finish of this name, whatever its letter case.

    Raises:
        BadInput: there is none; the nearest name is offered.
    """
    wanted = " ".join(name[:200].lower().split())
    if wanted in known:
        return known[wanted]
    for one in known.values():
        if one.name.lower() == wanted:
            return one
    offered = did_you_mean(wanted, known) or "; 'finplan finishes' lists them"
    raise BadInput(f"there is no finish {shown(name)}{offered}", where)


def find_template(name: str, where: str = "") -> Template:
    """Return the finishing schedule of this name; raises BadInput as ``find_finish`` does."""
    wanted = " ".join(name[:200].lower().split())
    if wanted in templates():
        return templates()[wanted]
    offered = did_you_mean(wanted, templates()) or f": use one of {', '.join(templates())}"
    raise BadInput(f"there is no finishing schedule {shown(name)}{offered}", where)


def _read(file: str) -> dict[str, Any]:
    text = resources.files("finplan.library").joinpath(file).read_text(encoding="utf-8")
    return tomllib.loads(text)


def _by_name(file: str, build: Any) -> Mapping[str, Any]:
    data = _read(file)
    return MappingProxyType(
        {name: build(name, table, f"{file}, {name}") for name, table in data.items()}
    )


def _wood(name: str, table: Table, where: str) -> Wood:
    tables.known_keys(table, ("also", "softwood", *_WOOD_NUMBERS), where)
    numbers = {key: tables.number_of(table, key, where) for key in _WOOD_NUMBERS}
    return Wood(
        name=name,
        also=tables.texts_of(table, "also", where),
        softwood=tables.flag_of(table, "softwood", where, False),
        **numbers,
    )


def _grit(name: str, table: Table, where: str) -> Grit:
    size = tables.plain_number(table["mean_um"], "mean_um", where)
    return Grit(
        name=name,
        system=tables.enum_of(GritSystem, table, "system", where),
        number=int(table["number"]),
        mean_um=Number(size, tables.text_of(table, "source", where)),
    )


def _caution(key: str, table: Table, where: str) -> Caution:
    return Caution(
        key=key,
        text=tables.text_of(table, "text", where),
        kinds=frozenset(StepKind(kind) for kind in tables.texts_of(table, "kinds", where)),
        chemistries=frozenset(
            Chemistry(one) for one in tables.texts_of(table, "chemistries", where)
        ),
        of_finish=tables.flag_of(table, "of_finish", where, True),
        source=tables.text_of(table, "source", where),
    )


def _minutes(table: Table) -> Minutes:
    return Minutes(float(table["fixed"]), float(table["per_m2"]), str(table["source"]))


def _template(name: str, table: Table, minutes: Mapping[str, Minutes]) -> Template:
    where = f"schedules.toml, {name}"
    notes = tables.table_of(table, "notes", where)
    return Template(
        name=name,
        title=tables.text_of(table, "title", where),
        about=tables.text_of(table, "about", where),
        finish=tables.text_of(table, "finish", where),
        coats=tables.required(tables.number_of(table, "coats", where), "coats", where),
        method=tables.text_of(table, "method", where),
        sides=tables.enum_of(Sides, table, "sides", where),
        minutes=minutes,
        prepare=tables.text_of(table, "prepare", where, ""),
        grits=tables.texts_of(table, "grits", where),
        raise_grain_hours=tables.number_of(table, "raise_grain_hours", where),
        seal_first=tables.flag_of(table, "seal_first", where, False),
        scuffing=tables.enum_of(Scuffing, table, "scuffing", where),
        scuff_grit=tables.text_of(table, "scuff_grit", where, ""),
        cure_before_install=tables.flag_of(table, "cure_before_install", where, False),
        assemble=tables.flag_of(table, "assemble", where, True),
        install=tables.flag_of(table, "install", where, True),
        notes={key: tables.text_of(notes, key, where) for key in notes},
    )
