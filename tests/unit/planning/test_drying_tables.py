"""A drying table says the same whether it is read slot by slot, all at once, or elsewhere."""

from __future__ import annotations

import pickle

import pytest

from finplan.air.climate import normals_series
from finplan.planning.build import build
from finplan.planning.tables import DryingTable, Tables
from finplan.trade.finishes import Stage
from tests.unit.planning.shops import EVENINGS, NORMALS, NOW, request, workshop

DAY_S = 86400.0


@pytest.fixture
def tables():
    begin = NOW.timestamp() - 20 * DAY_S
    air = normals_series(NORMALS, "Europe/Oslo", begin, begin + 300 * DAY_S)
    asked = request(shop=workshop(EVENINGS), air=air)
    axis = build(asked, 120).network.axis
    return lambda: Tables(asked, axis), len(axis)


@pytest.mark.parametrize("stage", [Stage.DRY_TO_RECOAT, Stage.DRY_TO_HANDLE, None])
def test_slot_by_slot_or_all_at_once_is_the_same(tables, stage):
    made, size = tables

    def table():
        own = made()
        read = own.closes if stage is None else lambda *key: own.ready(*key, stage)
        return read("spar varnish", "shed")

    alone = [table()[slot] for slot in range(0, size, 40)]
    at_once = table()
    every = [at_once[slot] for slot in range(size)]
    assert every[::40] == alone
    assert every == sorted(every)
    sent = pickle.loads(pickle.dumps(table()))
    assert isinstance(table(), DryingTable)
    assert sent == every
