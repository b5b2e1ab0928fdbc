"""Looks at the edge of a season keep apart from each other."""

from __future__ import annotations

import datetime as dt
import uuid
from itertools import pairwise

import pytest

from finplan.library.load import upkeep_defaults
from finplan.tracking.upkeep.cycle import outlook
from finplan.tracking.upkeep.days import best_day
from finplan.tracking.upkeep.pieces import (
    Blocked,
    Finding,
    InstalledPiece,
    UpkeepEntry,
    UpkeepKind,
    Work,
)
from finplan.tracking.upkeep.years import Effort, visits
from finplan.trade.moments import say_date
from finplan.trade.numbers import Span

NOW = dt.datetime(2026, 4, 20, 12, tzinfo=dt.UTC)
SUMMER = (4, 5, 6, 7, 8, 9, 10)


def table(**fields):
    told = {
        "name": "table", "title": "Table", "place": "house", "zone": "Europe/Oslo",
        "finish": "penetrating oil", "area_m2": 2.0, "installed": dt.date(2026, 4, 12),
        "uid": uuid.UUID(int=3), "season": SUMMER, **fields,
    }  # fmt: skip
    return InstalledPiece(**told)


@pytest.mark.parametrize("days", ["", "FREQ=WEEKLY;BYDAY=SA", "FREQ=MONTHLY;BYDAY=-1SA"])
@pytest.mark.parametrize("months", [9.0, 12.0, 14.0])
def test_no_two_looks_are_nearer_than_half_their_interval(days, months):
    piece, usual = table(days=days), Span(months, 1.6 * months, "invented")
    seen = outlook(piece, (), usual, upkeep_defaults(), NOW)
    found = visits(
        [seen], {"table": Effort(1.0, None, 24.0)}, upkeep_defaults(), dt.date(2036, 1, 1)
    )
    looks = sorted(visit.moved_from or visit.on for visit in found if visit.work is Work.INSPECTION)
    half = seen.interval_months * upkeep_defaults().inspect_share.value * 365.2425 / 12 / 2
    assert len(looks) > 10
    assert all((later - one).days >= half - 1 for one, later in pairwise(looks))


def test_the_nearest_wished_day_is_the_one_that_weighs_least():
    """Beside the search in steps: every day of two years tried."""
    guests = (Blocked(dt.date(2027, 5, 20), dt.date(2027, 6, 10)),)
    for rule in ("", "FREQ=WEEKLY;BYDAY=SA", "FREQ=MONTHLY;BYDAY=1SA"):
        piece = table(days=rule, blocked=guests)
        for step in range(0, 400, 7):
            due = dt.date(2027, 1, 1) + dt.timedelta(days=step)
            earliest = due - dt.timedelta(days=step % 50)
            on = best_day(piece, due, earliest)
            wished = [
                day
                for day in (due + dt.timedelta(days=off) for off in range(-400, 400))
                if day >= earliest
                and day.month in SUMMER
                and not guests[0].first <= day <= guests[0].last
                and (not rule or (day.weekday() == 5 and ("WEEKLY" in rule or day.day <= 7)))
            ]
            weights = {day: (day - due).days * (2 if day > due else -1) for day in wished}
            assert weights[on] == min(weights.values())


def test_a_first_coat_that_still_holds_already_lengthens_the_interval():
    at = dt.datetime(2027, 4, 12, 10, tzinfo=dt.UTC)
    found = (Finding.BEADS,)
    held = UpkeepEntry(uuid.UUID(int=1), "table", UpkeepKind.INSPECTED, at, at, findings=found)
    usual, later = Span(9.0, 16.0, "invented"), NOW + dt.timedelta(days=360)
    new, seen = (outlook(table(), log, usual, upkeep_defaults(), later) for log in ((), (held,)))
    assert seen.interval_months > new.interval_months + 1.0


def test_a_renewal_brought_forward_to_the_end_of_the_season_says_from_when():
    looked = dt.datetime(2026, 9, 15, 10, tzinfo=dt.UTC)
    held = UpkeepEntry(
        uuid.UUID(int=1), "table", UpkeepKind.INSPECTED, looked, looked, findings=(Finding.BEADS,)
    )
    usual, told = Span(6.0, 10.0, "invented"), {}
    for season in ((), SUMMER):
        piece = table(season=season)
        told[season] = outlook(piece, (held,), usual, upkeep_defaults(), looked).next(Work.RENEWAL)
    free, kept = told.values()
    assert free.on == free.due == kept.due and kept.due.month not in SUMMER
    assert kept.on < kept.due
    day = say_date(kept.due)
    assert f"brought forward from {day}, which is out of season or blocked" in kept.sentence
    assert "forward" not in free.sentence
