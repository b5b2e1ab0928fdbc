"""The best time to renew a piece, and the downtime it is told by."""

from __future__ import annotations

import datetime as dt
import functools
import itertools
import uuid
from dataclasses import replace

from finplan.air.climate import normals_series
from finplan.air.series import AirSource, Reading, compose, series_of
from finplan.library.load import finishes, woods
from finplan.tracking.upkeep.pieces import Blocked, InstalledPiece
from finplan.tracking.upkeep.window import (
    Ground,
    NoWindow,
    Tasks,
    Wanted,
    Window,
    best_window,
    say_window,
    why_window,
)
from finplan.trade.upkeep import Exposure
from finplan.trade.workshop import MonthlyNormals, Person, Space, Workshop, WorkWindow

NOW = dt.datetime(2027, 1, 10, 12, tzinfo=dt.UTC)
LAKE = MonthlyNormals(
    (-4.0, -3.0, 1.0, 6.0, 11.0, 15.0, 18.0, 17.0, 12.0, 7.0, 2.0, -2.0),
    (6.0, 7.0, 8.0, 9.0, 10.0, 10.0, 10.0, 9.0, 8.0, 6.0, 5.0, 5.0),
    (84.0, 80.0, 74.0, 66.0, 61.0, 62.0, 64.0, 68.0, 74.0, 79.0, 84.0, 86.0),
    "invented for tests",
)
HOBBY = (
    WorkWindow("FREQ=WEEKLY;BYDAY=MO,TU,WE,TH,FR", dt.time(18), 180),
    WorkWindow("FREQ=WEEKLY;BYDAY=SA,SU", dt.time(9), 480),
)
SHOP = Workshop("shed", "Europe/Oslo", (Person("Ada", HOBBY),), (Space("shed", 4.0, LAKE),))
TASKS = Tasks(lift=30.0, sand=60.0, dust_off=5.0, coat=50.0, wipe=40.0, back=30.0)
BOARDS = InstalledPiece(
    name="boards",
    title="Duckboard",
    place="wash house",
    zone="Europe/Oslo",
    finish="penetrating oil",
    area_m2=1.6,
    installed=dt.date(2026, 5, 20),
    uid=uuid.UUID(int=12),
    exposures=frozenset({Exposure.FLAT, Exposure.WET_OR_TRODDEN}),
    invented=True,
)
DUE = dt.date(2027, 6, 1)


END = NOW + dt.timedelta(days=500)


def ground(shop=SHOP, normals=LAKE):
    begin_s = NOW.timestamp() - 15 * 86400.0
    air = normals_series(normals, shop.zone, begin_s, END.timestamp())
    return Ground(shop, "shed", air, (NOW, END), {})


@functools.cache
def lake():
    return ground()


def with_hours(*windows):
    return replace(SHOP, people=(Person("Ada", windows),))


def search(piece=BOARDS, due=DUE, on=None, earliest=NOW):
    wood = woods()["black locust"]
    wanted = Wanted(piece, finishes()[piece.finish], wood, TASKS, due, earliest)
    return best_window(on or lake(), wanted)


def test_the_window_is_near_the_due_day_and_its_parts_are_in_order():
    found = search()
    assert isinstance(found, Window)
    assert NOW < found.start < found.dry < found.coat < found.end
    assert abs((found.start.date() - DUE).days) <= 21
    assert found.known_from == (AirSource.NORMALS,)
    local = found.start.astimezone(dt.UTC)
    assert local.minute == 0


def test_none_of_the_starts_around_it_is_better():
    """Every later or earlier start, searched alone, takes longer or is further from its day."""
    found = search()
    ours = found.out_hours + cost(found)
    for days in itertools.chain(range(-30, 0, 3), range(1, 30, 3)):
        other = search(earliest=found.start + dt.timedelta(days=days, minutes=1))
        assert other.out_hours + cost(other) >= ours - 1e-9


def cost(window):
    off = round((window.start - dt.datetime(2027, 6, 1, 10, tzinfo=dt.UTC)).total_seconds() / 86400)
    return 0.5 * (2.0 * off if off > 0 else -off)


def test_it_is_said_as_a_stretch():
    found = search()
    said = say_window(found, "Duckboard", "Europe/Oslo")
    assert said.startswith("Duckboard: out of use from ")
    assert said.endswith(", safe") and " 2027 " in said
    assert "by monthly normals" in why_window(found, "Europe/Oslo")
    assert "the wood is dry about" in why_window(found, "Europe/Oslo")


def test_in_winter_it_waits_for_air_that_is_fit():
    found = search(due=dt.date(2027, 1, 15))
    assert found.start > dt.datetime(2027, 3, 15, tzinfo=dt.UTC)


def test_season_and_weekday_are_kept():
    piece = replace(BOARDS, season=(7, 8), days="FREQ=WEEKLY;BYDAY=FR")
    found = search(piece)
    assert found.start.month in (7, 8) and found.start.weekday() == 4


def test_guests_keep_the_piece_in_use_all_their_days():
    free = search()
    guests = Blocked(free.end.date(), free.end.date() + dt.timedelta(days=9))
    kept = search(replace(BOARDS, blocked=(guests,)))
    assert kept.end.date() < guests.first or kept.start.date() > guests.last
    days = Blocked(NOW.date(), NOW.date() + dt.timedelta(days=600))
    none = search(replace(BOARDS, blocked=(days,)))
    assert isinstance(none, NoWindow) and "wished day" in none.sentence


def test_a_short_time_out_of_use_is_kept_or_said_to_be_too_short():
    free = search()
    bound = free.out_hours - 1.0
    found = search(replace(BOARDS, may_be_out_hours=bound))
    assert found.too_long or found.out_hours <= bound
    hopeless = search(replace(BOARDS, may_be_out_hours=2.0))
    assert hopeless.too_long


def test_work_lies_in_the_hours_there_are():
    found = search()
    zone = dt.timezone(dt.timedelta(hours=2))
    for instant in (found.start, found.coat):
        local = instant.astimezone(zone)
        if local.weekday() < 5:
            assert 18 <= local.hour < 21
        else:
            assert 9 <= local.hour < 17
    assert isinstance(search(on=ground(with_hours())), NoWindow)
    none = search(on=ground(with_hours(WorkWindow("FREQ=DAILY", dt.time(18), 45))))
    assert isinstance(none, NoWindow) and "work hours" in none.sentence


def test_damp_air_is_said_to_keep_the_wood_damp():
    wet = replace(LAKE, mean_rh_percent=(88.0,) * 12, daily_swing_c=(0.0,) * 12)
    none = search(on=ground(normals=wet))
    assert isinstance(none, NoWindow) and "15 % moisture" in none.sentence


def in_may(told=()):
    now = dt.datetime(2027, 5, 20, 6, tzinfo=dt.UTC)
    begin, end = now - dt.timedelta(days=15), now + dt.timedelta(days=200)
    expected = series_of(told, AirSource.FORECAST) if told else None
    air = compose(None, expected, LAKE, "Europe/Oslo", begin.timestamp(), end.timestamp())
    on = Ground(SHOP, "shed", air, (now, end), {})
    return search(due=dt.date(2027, 5, 21), earliest=now, on=on)


def forecast(celsius, first):
    hours = (first + dt.timedelta(hours=step) for step in range(0, 24 * 10, 3))
    return [Reading(at, celsius, 55.0) for at in hours]


def test_a_forecast_of_warm_days_brings_it_forward():
    warm = in_may(forecast(22.0, dt.datetime(2027, 5, 20, 6, tzinfo=dt.UTC)))
    assert warm.end < in_may().end
    assert warm.known_from == (AirSource.FORECAST,)
    assert "by the forecast" in why_window(warm, "Europe/Oslo")


def test_a_forecast_of_cold_days_puts_it_elsewhere():
    plain = in_may()
    told = forecast(-1.0, plain.start - dt.timedelta(days=1))
    cold = in_may(told)
    assert cold.end <= told[0].at or cold.coat >= told[-1].at


def test_softwood_dries_sooner_than_hardwood():
    wanted = Wanted(BOARDS, finishes()["penetrating oil"], None, TASKS, DUE, NOW)
    on = lake()
    hard, soft = (
        best_window(on, replace(wanted, wood=woods()[name])) for name in ("white oak", "larch")
    )
    assert soft.dry_hours < hard.dry_hours


def test_hours_taken_by_other_work_are_left_alone():
    free = search()
    assert isinstance(free, Window)
    busy = tuple(("Ada", one, one + dt.timedelta(hours=3)) for one in (free.start, free.coat))
    air = lake().air
    found = best_window(
        Ground(SHOP, "shed", air, (NOW, END), {}, busy),
        Wanted(BOARDS, finishes()[BOARDS.finish], woods()["black locust"], TASKS, DUE, NOW),
    )
    assert isinstance(found, Window)
    for _, begin, end in busy:
        assert not begin <= found.start < end and not begin <= found.coat < end
    others = tuple(("Somebody", begin, end) for _, begin, end in busy)
    same = best_window(
        Ground(SHOP, "shed", air, (NOW, END), {}, others),
        Wanted(BOARDS, finishes()[BOARDS.finish], woods()["black locust"], TASKS, DUE, NOW),
    )
    assert same == free
