"""Air, the calendar ledger, settings, resets, own finishes."""

from __future__ import annotations

import dataclasses
import datetime as dt
import uuid

import numpy as np
import pytest
from sqlalchemy import event

from finplan.air.series import AirSource
from finplan.tracking.ledger import LedgerRow
from finplan.trade.errors import BadInput
from finplan.trade.finishes import Chemistry, Finish, Stage
from finplan.trade.numbers import FROM_MEMORY, Number, Span

NOON = dt.datetime(2026, 10, 5, 12, tzinfo=dt.UTC)


def test_air_comes_back_as_it_was(store, air_of):
    year = air_of(1_200)
    with store.unit() as unit:
        assert unit.air.add_readings("w", "shed", year) == 1_200
        assert unit.air.add_readings("w", "shed", air_of(3, 20.0), AirSource.FORECAST) == 3
        unit.commit()
    with store.unit(writes=False) as unit:
        kept = unit.air.readings("w", "shed")
        for field in dataclasses.fields(year):
            assert np.array_equal(getattr(kept, field.name), getattr(year, field.name))
        forecast = unit.air.readings("w", "shed", kind=AirSource.FORECAST)
        assert [list(AirSource)[index] for index in forecast.source] == [AirSource.FORECAST] * 3
        assert unit.air.spaces("w") == (
            ("shed", AirSource.FORECAST),
            ("shed", AirSource.READING),
        )
        assert unit.air.readings("w", "loft") is None


def test_a_second_import_replaces_the_same_hours_only(store, air_of):
    with store.unit() as unit:
        unit.air.add_readings("w", "shed", air_of(10, 12.0))
        assert unit.air.add_readings("w", "shed", air_of(12, 13.5)) == 2
        kept = unit.air.readings("w", "shed")
        assert kept.temperature_c.tolist() == [13.5] * 12


def test_air_since_an_instant(store, air_of):
    with store.unit() as unit:
        unit.air.add_readings("w", "shed", air_of(10))
        late = unit.air.readings("w", "shed", NOON + dt.timedelta(hours=7))
        assert len(late.at_s) == 3
        early = unit.air.readings("w", "shed", until=NOON + dt.timedelta(hours=2))
        assert len(early.at_s) == 3


def test_computed_air_is_never_kept(store, air_of):
    with store.unit() as unit, pytest.raises(BadInput, match="computed"):
        unit.air.add_readings("w", "shed", air_of(1), AirSource.NORMALS)


def test_the_ledger_keeps_the_newest_word_on_each_item(store):
    first = LedgerRow(uuid.UUID(int=1), "bench", "aa", 0, NOON, NOON, content="{}")
    second = dataclasses.replace(first, uid=uuid.UUID(int=2), project="door")
    moved = dataclasses.replace(
        first, digest="bb", sequence=1, stamp=NOON + dt.timedelta(days=1), etag='"7"'
    )
    with store.unit() as unit:
        unit.ledger.put([second, first])
        unit.ledger.put([moved])
        unit.commit()
    with store.unit() as unit:
        assert unit.ledger.rows() == (moved, second)


def test_many_items_take_few_statements(store):
    row = LedgerRow(uuid.UUID(int=1), "bench", "aa", 0, NOON, NOON, content="{}")
    rows = [dataclasses.replace(row, uid=uuid.UUID(int=number)) for number in range(1, 1201)]
    said = []
    with store.unit() as unit:
        event.listen(store.engine, "before_cursor_execute", lambda *call: said.append(call[2]))
        unit.ledger.put(rows)
        unit.ledger.put([dataclasses.replace(row, sequence=1) for row in rows])
        assert unit.ledger.rows() == tuple(dataclasses.replace(row, sequence=1) for row in rows)
        unit.commit()
    assert len(said) < 40


def test_settings_hold_any_plain_value(store):
    with store.unit() as unit:
        unit.settings.put("units", "imperial")
        unit.settings.put("drafts", {"part": [1, 2.5, None, "ü"]})
        unit.settings.put("units", "metric")
        unit.commit()
    with store.unit() as unit:
        assert unit.settings.get("units") == "metric"
        assert unit.settings.get("none", 7) == 7
        assert unit.settings.all() == {
            "drafts": {"part": [1, 2.5, None, "ü"]},
            "units": "metric",
        }
        unit.settings.remove("units")
        unit.settings.remove("units")
        assert unit.settings.get("units") is None


def test_the_latest_reset_counts(store):
    with store.unit() as unit:
        unit.learned_resets.put("oil", "shed", NOON)
        unit.learned_resets.put("oil", "shed", NOON + dt.timedelta(days=2))
        assert unit.learned_resets.all() == {("oil", "shed"): NOON + dt.timedelta(days=2)}


def test_own_finishes_keep_every_number_and_source(store):
    span = Span(8.0, 24.0, "label")
    finish = Finish(
        "my-oil", "My oil", Chemistry.OXIDATIVE, "From the label.", Span(2.0, 3.0, "label"),
        dict.fromkeys(Stage, span), span, span, Number(5.0, FROM_MEMORY), Number(2.0, "label"),
        Number(30.0, "label"), methods=("rag",), own=True, notes={"can": "opened in May"},
    )  # fmt: skip
    with store.unit() as unit:
        unit.finishes.put(finish)
        unit.commit()
    with store.unit(writes=False) as unit:
        assert unit.finishes.get("my-oil") == finish
