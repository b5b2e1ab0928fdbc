"""Visits put together where that saves a trip."""

from __future__ import annotations

import datetime as dt
import uuid
from dataclasses import replace

import pytest

from finplan.tracking.upkeep.bundling import bundled
from finplan.tracking.upkeep.cycle import outlook
from finplan.tracking.upkeep.pieces import Blocked, Work
from finplan.tracking.upkeep.years import Effort, Visit, by_year, visits
from tests.unit.tracking.bench_in_use import BENCH, DEFAULTS, YEAR, at


def visit(piece, day, work=Work.CLEANING, finish="penetrating oil", place="boathouse"):
    return Visit(dt.date.fromisoformat(day), piece, place, finish, work, Effort(0.0, 0.0, 0.0))


RAIL = replace(BENCH, name="jetty-rail", uid=uuid.UUID(int=8))


def put_together(*found, bench=BENCH, rail=RAIL):
    return [
        (one.piece, one.on.isoformat(), one.bundled)
        for one in bundled(found, {bench.name: bench, rail.name: rail})
    ]


def test_a_visit_soon_after_another_at_its_place_is_done_with_it():
    assert put_together(visit(BENCH.name, "2027-05-07"), visit("jetty-rail", "2027-05-20")) == [
        (BENCH.name, "2027-05-07", False),
        ("jetty-rail", "2027-05-07", True),
    ]


@pytest.mark.parametrize(
    ("second", "rail"),
    [
        (visit("jetty-rail", "2027-05-29"), RAIL),
        (visit("jetty-rail", "2027-05-20", place="hut"), RAIL),
        (visit("jetty-rail", "2027-05-20", Work.RENEWAL, "spar varnish"), RAIL),
        (visit("jetty-rail", "2027-05-20"), replace(RAIL, clean_rule="FREQ=YEARLY")),
        (visit("jetty-rail", "2027-05-20"), replace(RAIL, season=(6, 7))),
        (visit("jetty-rail", "2027-05-20"), replace(RAIL, days="FREQ=WEEKLY;BYDAY=TH")),
        (
            visit("jetty-rail", "2027-05-20"),
            replace(RAIL, blocked=(Blocked(dt.date(2027, 5, 7), dt.date(2027, 5, 9)),)),
        ),
    ],
    ids=["too far", "elsewhere", "another finish", "fixed", "season", "weekday", "guests"],
)
def test_nothing_is_put_together_that_does_not_belong(second, rail):
    first = visit(BENCH.name, "2027-05-07", Work.RENEWAL)
    assert not any(moved for _, _, moved in put_together(first, second, rail=rail))


def test_a_day_moves_whole_or_not_at_all():
    """One of the two on the 20th is fixed, so the trip is made anyway: nothing moves."""
    rail = replace(RAIL, inspect_rule="FREQ=MONTHLY")
    found = (
        visit(BENCH.name, "2027-05-07"),
        visit("jetty-rail", "2027-05-20"),
        visit("jetty-rail", "2027-05-20", Work.INSPECTION),
    )
    assert not any(moved for _, _, moved in put_together(*found, rail=rail))
    assert [moved for _, _, moved in put_together(*found)] == [False, True, True]


def test_trips_saved_are_those_not_made():
    other = replace(BENCH, name="jetty-rail", uid=uuid.UUID(int=8), installed=dt.date(2025, 5, 12))
    outlooks = [outlook(one, (), YEAR, DEFAULTS, at("2026-01-15")) for one in (BENCH, other)]
    efforts = {one.piece.name: Effort(0.2, 5.0, 60.0) for one in outlooks}
    found = visits(outlooks, efforts, DEFAULTS, dt.date(2030, 12, 31))
    alone = {
        (moved_from or on, place)
        for on, moved_from, place in ((one.on, one.moved_from, one.place) for one in found)
    }
    sums = by_year(found)
    assert sum(one.saved for one in sums) == len(alone) - sum(one.trips for one in sums) > 0
