"""Finishes from TOML tables."""

from __future__ import annotations

from typing import Any

from finplan.library import tables
from finplan.library.tables import Table
from finplan.trade.errors import BadInput
from finplan.trade.finishes import Chemistry, Finish, Stage
from finplan.trade.numbers import Span

SPANS = (
    "coats",
    "spread_first_m2_per_l",
    "spread_later_m2_per_l",
    "wipe_off_minutes",
    "activation_energy_kj_per_mol",
    "interval_months",
)
NUMBERS = (
    "coldest_c",
    "refuse_below_c",
    "warmest_c",
    "dampest_air_percent",
    "dampest_wood_percent",
    "window_closes_hours",
    "pot_life_hours",
    "dry_film_um",
    "shelf_life_months",
)
REQUIRED = (*SPANS[:3], *NUMBERS[:3])
TEXT_LISTS = ("methods", "uses", "cautions")
FIELDS = (
    "title",
    "chemistry",
    "about",
    "outdoors",
    "scuff_past_window",
    "cans_l",
    "stages",
    "notes",
    *SPANS,
    *NUMBERS,
    *TEXT_LISTS,
)


def finish_of(name: str, table: Table, where: str) -> Finish:
    """Return the finish a complete table describes.

    Raises:
        BadInput: a field is missing, unknown or of the wrong kind; the message names it.
    """
    tables.known_keys(table, FIELDS, where)
    values: dict[str, Any] = {key: tables.span_of(table, key, where) for key in SPANS}
    values |= {key: tables.number_of(table, key, where) for key in NUMBERS}
    values |= {key: tables.texts_of(table, key, where) for key in TEXT_LISTS}
    for key in REQUIRED:
        tables.required(values[key], key, where)
    return Finish(
        name=name,
        title=tables.text_of(table, "title", where),
        chemistry=tables.enum_of(Chemistry, table, "chemistry", where),
        about=tables.text_of(table, "about", where),
        stages=_stages(tables.table_of(table, "stages", where), f"{where}, stages"),
        outdoors=tables.flag_of(table, "outdoors", where, True),
        scuff_past_window=tables.flag_of(table, "scuff_past_window", where, False),
        cans_l=cans_of(table, where),
        notes=notes_of(table, where),
        **values,
    )


def cans_of(table: Table, where: str) -> tuple[float, ...]:
    """Return the sizes of can in litres, smallest first."""
    inner = tables.table_of(table, "cans_l", where)
    place = f"{where}, cans_l"
    tables.known_keys(inner, ("values", "source"), place)
    values = inner.get("values", [])
    if not isinstance(values, list):
        raise BadInput("'values' must be a list of litres: write values = [0.5, 1.0]", place)
    sizes = [tables.plain_number(value, "values", place) for value in values]
    if any(size <= 0 for size in sizes):
        raise BadInput("a can must hold more than 0 litres", place)
    return tuple(sorted(sizes))


def notes_of(table: Table, where: str) -> dict[str, str]:
    """Return the notes by name."""
    inner = tables.table_of(table, "notes", where)
    return {key: tables.text_of(inner, key, f"{where}, notes") for key in inner}


def _stages(table: Table, where: str) -> dict[Stage, Span]:
    keys = {stage.value.replace("-", "_"): stage for stage in Stage}
    tables.known_keys(table, keys, where)
    return {
        stage: tables.required(tables.span_of(table, key, where), key, where)
        for key, stage in keys.items()
    }
