"""A user's own finishes: label values beside the shipped classes, in a TOML file of their own.

[finish."shed oil"]
like = "penetrating oil"      # the shipped class it is taken from; what follows overrides it
title = "Shed oil"
price = "38.50 per qt"        # or price_per_l, in your currency
cans = ["1 qt", "1 gal"]      # or cans_l, a list of litres
spread = "350 ft²/gal"        # or spread_first and spread_later
coldest = "50 °F"             # and refuse_below, warmest

[finish."shed oil".label]     # what the label says, at the label's own conditions
touch = "6 h"                 # also dust_free, tack_free, handle, sand
recoat = "12-24 h"
window = "3 d"                # the latest recoat without scuffing
cure = "10 d"
temperature = "70 °F"         # 23 °C and 50 % where the label is silent
humidity = "65 %"
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from finplan.library import tables
from finplan.library.finishes import NUMBERS, SPANS, cans_of, notes_of
from finplan.library.load import find_finish, finishes
from finplan.library.tables import Table
from finplan.trade.errors import BadInput
from finplan.trade.finish_checks import check_finish
from finplan.trade.finishes import Finish, Stage
from finplan.trade.names import clean_text, shown
from finplan.trade.numbers import Number, Span
from finplan.trade.quantities import (
    parse_humidity,
    parse_spread,
    parse_temperature,
    parse_volume,
)

LONGEST_FILE = 1_000_000
_TEXTS = ("title", "about")
_FLAGS = ("outdoors", "scuff_past_window")
_LISTS = ("methods", "uses", "cautions")
_SPREADS = ("spread", "spread_first", "spread_later")
_TEMPERATURES = ("coldest", "refuse_below", "warmest")
_CONDITIONS = ("temperature", "humidity")
_FIELDS = (
    "like",
    "price",
    "price_per_l",
    "label",
    "cans",
    "cans_l",
    *_TEMPERATURES,
    "notes",
    *_TEXTS,
    *_FLAGS,
    *_LISTS,
    *_SPREADS,
    *SPANS,
    *NUMBERS,
)
_LABEL_TIMES = {
    "touch": Stage.SET_TO_TOUCH,
    "dust_free": Stage.DUST_FREE,
    "tack_free": Stage.TACK_FREE,
    "handle": Stage.DRY_TO_HANDLE,
    "recoat": Stage.DRY_TO_RECOAT,
    "sand": Stage.DRY_THROUGH,
    "cure": Stage.FULL_CURE,
}


def parse_own_finishes(text: str, where: str) -> tuple[Finish, ...]:
    """Return the finishes a user's own file describes; all of them, or an error and none.

    A label's hours are the *safe* hours of their stages once brought to 23 °C and 50 %; the
    stages it does not mention move along in proportion.

    Args:
        text: the TOML.
        where: the file's name, put in front of an error.

    Raises:
        BadInput: not TOML, an unknown field (the nearest known one is offered), an unknown
            class, a value that can't be.
    """
    if len(text) > LONGEST_FILE:
        raise BadInput("is larger than 1 MB: no file of finishes is", where)
    try:
        data = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise BadInput(f"is not TOML: {str(error)[:120]}", where) from None
    tables.known_keys(data, ("finish",), where)
    own = tables.table_of(data, "finish", where)
    return tuple(_own_finish(name, own, f"{where}, finish {shown(name)}") for name in own)


def _own_finish(name: str, own: Table, where: str) -> Finish:
    table = tables.table_of(own, name, where)
    tables.known_keys(table, _FIELDS, where)
    plain = clean_text(name, where).lower()
    base = find_finish(tables.text_of(table, "like", where), finishes(), f"{where}, like")
    changes: dict[str, Any] = {key: tables.text_of(table, key, where, "") for key in _TEXTS}
    changes["title"] = changes["title"] or clean_text(name, where)
    changes["about"] = changes["about"] or base.about
    for key in _FLAGS:
        changes[key] = tables.flag_of(table, key, where, getattr(base, key))
    changes |= {key: tables.texts_of(table, key, where) for key in _LISTS if key in table}
    changes |= {key: _own_span(table, key, where, where) for key in SPANS if key in table}
    changes |= {key: _own_number(table, key, where, where) for key in NUMBERS if key in table}
    changes |= _spreads(table, where, where)
    changes |= _temperatures(table, where)
    if "cans_l" in table:
        changes["cans_l"] = cans_of(_listed(table), where)
    if "cans" in table:
        sizes = tables.texts_of(table, "cans", where)
        changes["cans_l"] = tuple(sorted(parse_volume(one, f"{where}, cans") for one in sizes))
    if "price_per_l" in table:
        changes["price_per_l"] = _price(table, where)
    if "price" in table:
        changes["price_per_l"] = _price_of_a_can(tables.text_of(table, "price", where), where)
    changes["notes"] = {**base.notes, **notes_of(table, where)}
    title = changes.pop("title")
    # The label comes before the title: what it scales is called by the name of its class.
    finish = replace(base, name=plain, own=True, **changes)
    label = tables.table_of(table, "label", where)
    check_finish(finish, where)
    made = replace(_with_label(finish, label, f"{where}, label"), title=title)
    check_finish(made, where)
    return made


def _listed(table: Table) -> Table:
    """Take ``cans_l = [0.5, 1.0]`` as well as the shipped form with a source."""
    cans = table["cans_l"]
    return {"cans_l": {"values": cans}} if isinstance(cans, list) else table


def _own_span(table: Table, key: str, where: str, source: str) -> Span | None:
    """Read a span; the source may be left out, it is the user's own file then."""
    inner = table[key]
    if isinstance(inner, Mapping):
        return tables.span_of({key: {"source": source, **inner}}, key, where)
    value = tables.plain_number(inner, key, where)
    return tables.span_of({key: {"low": value, "high": value, "source": source}}, key, where)


def _own_number(table: Table, key: str, where: str, source: str) -> Number | None:
    inner = table[key]
    if isinstance(inner, Mapping):
        return tables.number_of({key: {"source": source, **inner}}, key, where)
    return Number(tables.plain_number(inner, key, where), source)


def _price(table: Table, where: str) -> float:
    price = tables.plain_number(table["price_per_l"], "price_per_l", where)
    if price < 0:
        raise BadInput(f"'price_per_l' is {price:g}: give 0 or more", where)
    return price


def _price_of_a_can(text: str, where: str) -> float:
    """Read ``38.50 per qt`` or ``24,5 / 750 ml`` as a price per litre."""
    found = re.fullmatch(r"\s*(\d{1,9}(?:[.,]\d{1,4})?)\s*(?:/|per|for)\s*(.+)", text)
    if found is None:
        raise BadInput(f"'price' {shown(text)} can't be read: write e.g. 38.50 per qt", where)
    volume = found[2].strip()
    litres = parse_volume(volume if volume[0].isdigit() else f"1 {volume}", f"{where}, price")
    return float(found[1].replace(",", ".")) / litres


def _temperatures(table: Table, where: str) -> dict[str, Number]:
    """Read temperatures written with their unit: ``coldest = "50 °F"``."""
    return {
        f"{key}_c": Number(
            parse_temperature(tables.text_of(table, key, where), f"{where}, {key}"), where
        )
        for key in _TEMPERATURES
        if key in table
    }


def _spreads(table: Table, where: str, source: str) -> dict[str, Span]:
    found = {}
    for key in _SPREADS:
        if key not in table:
            continue
        value = parse_spread(tables.text_of(table, key, where), f"{where}, {key}")
        for coat in ("first", "later"):
            if key in {"spread", f"spread_{coat}"}:
                found[f"spread_{coat}_m2_per_l"] = Span(value, value, source)
    return found


def _with_label(finish: Finish, table: Table, where: str) -> Finish:
    """Return the finish with the label's times, brought to 23 °C and 50 % by its chemistry."""
    from finplan.drying.labels import finish_from_label

    if not table:
        return finish
    tables.known_keys(table, (*_LABEL_TIMES, "window", *_CONDITIONS), where)
    times = {
        stage: tables.text_of(table, key, where)
        for key, stage in _LABEL_TIMES.items()
        if key in table
    }
    conditions = []
    if "temperature" in table:
        text = tables.text_of(table, "temperature", where)
        conditions.append(f"{parse_temperature(text, f'{where}, temperature'):.1f} °C")
    if "humidity" in table:
        text = tables.text_of(table, "humidity", where)
        conditions.append(f"{parse_humidity(text, f'{where}, humidity'):.1f} %")
    window = tables.text_of(table, "window", where, "")
    try:
        return finish_from_label(
            finish, finish.name, finish.title, times, ", ".join(conditions), window
        )
    except BadInput as fault:
        raise fault.at(where) from None
