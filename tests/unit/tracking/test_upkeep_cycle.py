"""Upkeep: what is due when, and why, from what was found and done."""

from __future__ import annotations

import datetime as dt
import uuid
from dataclasses import replace

import pytest

from finplan.library.load import finishes
from finplan.tracking.upkeep.cycle import outlook
from finplan.tracking.upkeep.days import (
    best_day,
    days_between,
    is_wished,
    next_day,
    recurring_days,
)
from finplan.tracking.upkeep.pieces import (
    Blocked,
    Finding,
    UpkeepEntry,
    UpkeepKind,
    Work,
    check_entry,
    check_piece,
    standing,
)
from finplan.tracking.upkeep.years import Effort, by_year, visits
from finplan.trade.errors import BadInput
from finplan.trade.upkeep import Exposure, renewal_months
from tests.unit.tracking.bench_in_use import BENCH, DEFAULTS, YEAR, at


def entry(number, kind, day, **more):
    return UpkeepEntry(uuid.UUID(int=number), "jetty-bench", kind, at(day), at(day), **more)


def looked(number, day, *findings):
    return entry(number, UpkeepKind.INSPECTED, day, findings=findings)


def renewal(piece, *entries, now="2026-01-15"):
    return outlook(piece, entries, YEAR, DEFAULTS, at(now)).next(Work.RENEWAL)


def test_beads_put_the_renewal_off_and_the_sentence_says_so():
    before = renewal(BENCH)
    held = renewal(BENCH, looked(1, "2026-02-01", Finding.BEADS), now="2026-02-02")
    gone = renewal(BENCH, looked(1, "2026-02-01", Finding.SOAKS_IN), now="2026-02-02")
    assert gone.due < before.due < held.due
    assert gone.on == dt.date(2026, 2, 2)
    assert held.sentence.startswith(f"next renewal in {held.on:%b %Y}, ")
    assert held.sentence.endswith("after the last: beads still held at 9 months")


def test_the_next_renewal_counts_from_the_day_it_was_really_done():
    first = renewal(BENCH, entry(1, UpkeepKind.RENEWED, "2026-04-01"), now="2026-04-02")
    later = renewal(BENCH, entry(1, UpkeepKind.RENEWED, "2026-05-01"), now="2026-05-02")
    assert later.due - first.due == dt.timedelta(days=30)


def test_the_piece_teaches_its_next_coat():
    short = [
        looked(1, "2025-11-01", Finding.SOAKS_IN),
        entry(2, UpkeepKind.RENEWED, "2025-11-02"),
    ]
    long = [
        looked(3, "2026-10-01", Finding.BEADS),
        entry(4, UpkeepKind.RENEWED, "2026-10-02"),
    ]
    after_short = renewal(BENCH, *short, now="2025-11-03").due - dt.date(2025, 11, 2)
    after_long = renewal(BENCH, *long, now="2026-10-03").due - dt.date(2026, 10, 2)
    assert after_short < after_long - dt.timedelta(days=120)


def test_a_flat_cycle_stays_available():
    flat = replace(BENCH, renew_rule="FREQ=YEARLY")
    coming = renewal(flat, looked(1, "2026-01-10", Finding.SOAKS_IN))
    assert coming.due == dt.date(2026, 5, 1)
    assert "by its fixed cycle" in coming.sentence


def test_season_weekday_and_guests_are_kept():
    wished = replace(
        BENCH,
        season=(5, 6, 7, 8, 9),
        days="FREQ=WEEKLY;BYDAY=FR",
        blocked=(Blocked(dt.date(2026, 5, 1), dt.date(2026, 5, 17), "guests"),),
    )
    coming = renewal(wished)
    assert coming.on.month in wished.season
    assert coming.on.weekday() == 4
    assert coming.on >= dt.date(2026, 5, 22)


def test_early_is_better_than_late_but_not_at_any_price():
    summer = replace(BENCH, season=(6, 7, 8))
    earliest = dt.date(2026, 1, 1)
    assert best_day(summer, dt.date(2026, 10, 1), earliest) == dt.date(2026, 8, 31)
    assert best_day(summer, dt.date(2027, 5, 1), earliest) == dt.date(2027, 6, 1)
    assert best_day(replace(summer, season=(2,)), dt.date(2026, 1, 5), earliest).month == 2


def test_rules_count_from_the_day_done_and_miss_no_leap_day():
    days = recurring_days("FREQ=YEARLY", dt.date(2024, 2, 29))
    assert [next(days) for _ in range(2)] == [dt.date(2025, 2, 28), dt.date(2026, 2, 28)]
    assert next(recurring_days("FREQ=MONTHLY;BYDAY=-1SA", dt.date(2026, 5, 30))) == dt.date(
        2026, 6, 27
    )


@pytest.mark.parametrize(
    "rule",
    [
        "FREQ=YEARLY;COUNT=1",
        "FREQ=YEARLY;UNTIL=20250101",
        "FREQ=YEARLY;INTERVAL=9000",
        "FREQ=YEARLY;INTERVAL=4;BYMONTH=2;BYMONTHDAY=29",
    ],
)
def test_a_rule_that_gives_no_day_any_more_is_due_in_no_lifetime(rule):
    ended = replace(BENCH, renew_rule=rule, clean_rule=rule, inspect_rule=rule)
    assert next_day(rule, BENCH.installed) > dt.date(2060, 1, 1)
    seen = outlook(ended, (), YEAR, DEFAULTS, at("2026-05-01"))
    assert all(coming.on > dt.date(2060, 1, 1) for coming in seen.coming)
    effort = {ended.name: Effort(1.0, None, 24.0)}
    assert visits([seen], effort, DEFAULTS, dt.date(2056, 1, 1)) == ()


def test_inspection_and_cleaning_move_by_what_was_done():
    seen = outlook(
        BENCH, (looked(1, "2026-01-10", Finding.BEADS),), YEAR, DEFAULTS, at("2026-01-11")
    )
    interval = seen.interval_months * 365.2425 / 12
    look = seen.next(Work.INSPECTION).due - dt.date(2026, 1, 10)
    clean = seen.next(Work.CLEANING).due - BENCH.installed
    assert look.days == pytest.approx(interval / 4, abs=1)
    assert clean.days == pytest.approx(interval / 2, abs=1)


def test_what_is_undone_does_not_count():
    gone = looked(1, "2026-01-10", Finding.SOAKS_IN)
    undone = entry(2, UpkeepKind.UNDONE, "2026-01-11", about=gone.uid)
    assert standing((gone, undone)) == ()
    assert renewal(BENCH, gone, undone) == renewal(BENCH)


def test_findings_bring_advice():
    seen = outlook(
        BENCH,
        (looked(1, "2026-01-10", Finding.MILDEW, Finding.STICKY, Finding.BARE),),
        YEAR,
        DEFAULTS,
        at("2026-01-11"),
    )
    assert [line.split(":")[0] for line in seen.advice] == [
        "mildew",
        "sticky film",
        "bare or grey wood",
    ]


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"area_m2": 0.0}, "area of 0 m²"),
        ({"zone": "Nowhere/Lake"}, "zone"),
        ({"season": (13,)}, "season"),
        ({"days": "FREQ=HOURLY"}, "recurring rule"),
        ({"renew_rule": "FREQ=YEARLY;COUNT=1"}, "without end"),
        ({"days": "FREQ=WEEKLY;UNTIL=20270101"}, "without end"),
        ({"blocked": (Blocked(dt.date(2026, 2, 2), dt.date(2026, 2, 1)),)}, "turn them round"),
        ({"blocked": (Blocked(dt.date(2026, 2, 2), dt.date.max),)}, "year 9999 is outside"),
        ({"installed": dt.date.min}, "year 1 is outside"),
        ({"exposures": frozenset({Exposure.INDOORS, Exposure.COVERED})}, "one of both"),
        ({"name": "two words"}, "two-words"),
        ({"coats": 0}, "coats"),
    ],
)
def test_a_piece_that_cannot_be_is_refused(change, told):
    check_piece(BENCH)
    with pytest.raises(BadInput, match=told):
        check_piece(replace(BENCH, **change))


@pytest.mark.parametrize(
    ("made", "told"),
    [
        (looked(1, "2026-01-16", Finding.BEADS), "lies ahead"),
        (looked(1, "2025-04-30", Finding.BEADS), "before the day it was installed"),
        (looked(1, "2026-01-10"), "say what was found"),
        (looked(1, "2026-01-10", Finding.BEADS, Finding.SLOW), "one thing only"),
        (entry(1, UpkeepKind.RENEWED, "2026-01-10", litres=-1.0), "litres"),
        (entry(1, UpkeepKind.CLEANED, "2026-01-10", photos=("a",) * 51), "50 photographs"),
    ],
)
def test_an_entry_that_cannot_be_is_refused(made, told):
    with pytest.raises(BadInput, match=told):
        check_entry(made, BENCH, at("2026-01-15"))


def test_years_ahead_count_and_bundle():
    other = replace(BENCH, name="jetty-rail", uid=uuid.UUID(int=8), installed=dt.date(2025, 5, 12))
    far = replace(other, name="hut-door", place="hut", uid=uuid.UUID(int=9))
    outlooks = [outlook(one, (), YEAR, DEFAULTS, at("2026-01-15")) for one in (BENCH, other, far)]
    efforts = {one.piece.name: Effort(0.2, 5.0, 60.0) for one in outlooks}
    found = visits(outlooks, efforts, DEFAULTS, dt.date(2030, 12, 31))
    assert any(visit.bundled for visit in found if visit.place == "boathouse")
    renewals = [visit for visit in found if visit.work is Work.RENEWAL]
    assert 4 * 3 <= len(renewals) <= 6 * 3
    sums = by_year(found)
    assert sum(one.renewals for one in sums) == len(renewals)
    assert sum(one.litres for one in sums) == pytest.approx(0.2 * len(renewals))
    assert sum(one.cost for one in sums) == pytest.approx(5.0 * len(renewals))
    alone = visits(outlooks[:1], efforts, DEFAULTS, dt.date(2030, 12, 31))
    both = visits(outlooks[:2], efforts, DEFAULTS, dt.date(2030, 12, 31))
    trips = sum(one.trips for one in by_year(both))
    assert trips < 1.5 * sum(one.trips for one in by_year(alone))


def test_a_price_that_is_not_known_makes_no_sum():
    found = visits(
        [outlook(BENCH, (), YEAR, DEFAULTS, at("2026-01-15"))],
        {BENCH.name: Effort(0.2, None, 60.0)},
        DEFAULTS,
        dt.date(2027, 12, 31),
    )
    assert {one.cost for one in by_year(found) if one.renewals} == {None}


def test_the_shipped_defaults_give_every_outdoor_finish_a_cycle():
    for finish in finishes().values():
        months = renewal_months(finish, BENCH.exposures, DEFAULTS)
        if months is not None:
            seen = outlook(BENCH, (), months, DEFAULTS, at("2025-05-02"))
            age = (seen.next(Work.RENEWAL).due - BENCH.installed).days / 30.44
            assert months.low * 0.7 < age < months.high * 1.1, finish.name


def test_the_wished_day_is_the_cheapest_of_all_that_fit():
    wished = replace(
        BENCH,
        season=(3, 4, 9),
        blocked=(
            Blocked(dt.date(2026, 4, 20), dt.date(2026, 4, 30)),
            Blocked(dt.date(2026, 9, 1), dt.date(2026, 9, 3)),
        ),
    )
    for shift in range(0, 400, 7):
        due = dt.date(2026, 1, 1) + dt.timedelta(days=shift)
        for earliest in (dt.date(2026, 1, 1), due, due + dt.timedelta(days=40)):
            days = [earliest + dt.timedelta(days=ahead) for ahead in range(800)]
            fitting = [
                day
                for day in days
                if day.month in wished.season
                and not any(one.first <= day <= one.last for one in wished.blocked)
            ]
            cost = {day: abs((day - due).days) * (2 if day > due else 1) for day in fitting}
            assert cost[best_day(wished, due, earliest)] == min(cost.values())


def test_days_every_other_week_are_the_same_whenever_asked():
    fridays = replace(BENCH, days="FREQ=WEEKLY;INTERVAL=2;BYDAY=FR")
    first, last = dt.date(2027, 1, 1), dt.date(2027, 12, 31)
    year = days_between(fridays, first, last)
    assert {day.weekday() for day in year} == {4}
    assert len(year) in (26, 27)
    for week in range(50):
        begins = first + dt.timedelta(days=7 * week)
        ends = begins + dt.timedelta(days=13)
        asked = days_between(fridays, begins, ends)
        assert asked == {day for day in year if begins <= day <= ends}
        assert all(is_wished(fridays, day) for day in asked)


def test_the_first_and_the_last_day_asked_for_are_among_them():
    first, last = dt.date(2027, 5, 3), dt.date(2027, 5, 5)
    assert len(days_between(BENCH, first, last)) == 3
    wednesdays = replace(BENCH, days="FREQ=WEEKLY;BYDAY=MO,WE")
    assert days_between(wednesdays, first, last) == {first, last}


def test_each_work_comes_by_its_own_interval_and_only_a_renewal_takes_finish():
    seen = outlook(BENCH, (), YEAR, DEFAULTS, at("2025-05-02"))
    effort = Effort(0.4, 9.0, 60.0)
    until = max(one.on for one in seen.coming) + dt.timedelta(days=900)
    found = visits([seen], {BENCH.name: effort}, DEFAULTS, until)
    shares = {
        Work.RENEWAL: 1.0,
        Work.CLEANING: DEFAULTS.clean_share.value,
        Work.INSPECTION: DEFAULTS.inspect_share.value,
    }
    for work, share in shares.items():
        own = sorted(one.moved_from or one.on for one in found if one.work is work)
        assert own[0] == seen.next(work).on
        apart = (own[-1] - own[0]).days / (len(own) - 1)
        assert apart == pytest.approx(seen.interval_months * share * 365.2425 / 12, abs=1.0)
        takes = {one.effort for one in found if one.work is work}
        assert takes == {effort if work is Work.RENEWAL else Effort(0.0, 0.0, 0.0)}


def test_a_visit_on_the_last_day_looked_at_is_one():
    seen = outlook(BENCH, (), YEAR, DEFAULTS, at("2025-05-02"))
    last = seen.next(Work.RENEWAL).on
    effort = {BENCH.name: Effort(0.4, 9.0, 60.0)}
    found = visits([seen], effort, DEFAULTS, last)
    assert [one.moved_from or one.on for one in found if one.work is Work.RENEWAL] == [last]
    before = visits([seen], effort, DEFAULTS, last - dt.timedelta(days=1))
    assert not [one for one in before if one.work is Work.RENEWAL]
