"""A year's litres, cost, visits and days out of use, past and to come."""

from __future__ import annotations

import datetime as dt
import uuid
from dataclasses import replace

import pytest

from finplan.tracking.upkeep.pieces import InstalledPiece, UpkeepEntry, UpkeepKind, Work
from finplan.tracking.upkeep.totals import Used, used_by_year, year_totals
from finplan.tracking.upkeep.years import Effort, Visit, by_year

STEPS = InstalledPiece(
    name="steps", title="Steps", place="lake", zone="Pacific/Auckland", finish="oil",
    area_m2=2.4, installed=dt.date(2024, 5, 1), uid=uuid.UUID(int=7),
)  # fmt: skip
RENEWAL = Visit(dt.date(2027, 5, 1), "steps", "lake", "oil", Work.RENEWAL, Effort(0.15, 6.0, 50.0))
LOOK = Visit(dt.date(2027, 5, 1), "steps", "lake", "oil", Work.INSPECTION, Effort(0.0, 0.0, 0.0))


def used(number, at, litres, cost):
    moment = dt.datetime.fromisoformat(at)
    return UpkeepEntry(
        uuid.UUID(int=number),
        "steps",
        UpkeepKind.RENEWED,
        moment,
        moment,
        litres=litres,
        cost=cost,
    )


def test_years_run_without_a_gap_from_the_first_entry():
    told = [(STEPS, (used(1, "2024-06-01T00:00:00+00:00", 0.2, 9.0),))]
    found = year_totals(told, [RENEWAL, LOOK], 2026, 2)
    assert [one.year for one in found] == [2024, 2025, 2026, 2027, 2028]
    assert found[0].used_l == {"oil": 0.2} and found[0].cost == 9.0
    assert found[3].coming_l == {"oil": pytest.approx(0.15)}
    assert (found[3].visits, found[3].out_hours, found[3].cost) == (1, 50.0, 6.0)


def test_an_entry_belongs_to_the_year_it_was_where_the_piece_stands():
    told = [(STEPS, (used(1, "2025-12-31T20:00:00+00:00", 0.2, None),))]
    assert [one.year for one in year_totals(told, [], 2026, 1)] == [2026, 2027]


def test_what_was_undone_is_not_used_up():
    entries = (
        used(1, "2025-06-01T00:00:00+00:00", 0.2, 9.0),
        replace(
            used(2, "2025-06-02T00:00:00+00:00", None, None),
            kind=UpkeepKind.UNDONE,
            about=uuid.UUID(int=1),
        ),
    )
    (only,) = year_totals([(STEPS, entries)], [], 2026, 0)
    assert (only.year, only.used_l, only.used_cost) == (2026, {}, 0.0)


def test_a_piece_tells_what_it_took_year_by_year():
    log = (
        used(1, "2025-03-01T00:00:00+00:00", 0.2, 9.0),
        used(2, "2025-09-01T00:00:00+00:00", None, 1.5),
        used(3, "2024-12-31T20:00:00+00:00", 0.1, None),  # New Year's Day where it stands
        used(4, "2024-06-01T00:00:00+00:00", None, None),
    )
    took = used_by_year(STEPS, log)
    assert took == {2024: Used(0.0, 0.0), 2025: Used(pytest.approx(0.3), 10.5)}


def test_a_price_nobody_knows_leaves_the_cost_open():
    unknown = replace(RENEWAL, effort=replace(RENEWAL.effort, cost=None))
    assert year_totals([], [unknown], 2027, 0)[0].cost is None


def test_the_sums_to_come_are_those_of_the_years_ahead():
    found = [RENEWAL, LOOK, replace(RENEWAL, on=dt.date(2028, 4, 1), place="town")]
    totals = {one.year: one for one in year_totals([], found, 2027, 1)}
    for one in by_year(found):
        own = totals[one.year]
        assert (own.visits, own.out_hours, own.coming_cost) == (one.trips, one.out_hours, one.cost)
        assert sum(own.coming_l.values()) == pytest.approx(one.litres)
