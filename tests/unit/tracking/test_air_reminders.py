"""Air that leaves a finish's limits while a coat is wet, told in time to do something."""

import dataclasses

import numpy as np
import pytest

from finplan.air.series import AirSeries, AirSource, source_code
from finplan.tracking.reminder import Role
from finplan.tracking.reminders import reminders_of
from finplan.trade.finishes import Chemistry, Stage
from tests.unit.tracking.bench import OIL, after, bench_plan, bench_request, span

PAINT = dataclasses.replace(
    OIL,
    chemistry=Chemistry.WATERBORNE,
    stages={Stage.TACK_FREE: span(4, 6), **OIL.stages},
)


def told(cold_from_h, source=AirSource.FORECAST, done=(), now_h=-14.0):
    """Reminders of air for a waterborne coat that ends at hour 2.5, cold from an hour on."""
    air = AirSeries(
        np.array([after(-1000).timestamp(), after(cold_from_h).timestamp()]),
        np.array([20.0, 1.0]),
        np.array([50.0, 50.0]),
        np.full(2, source_code(source), np.uint8),
    )
    request = dataclasses.replace(bench_request(now_h), finishes={"oil": PAINT}, air={"shed": air})
    found = reminders_of(bench_plan(now_h=now_h, done=done), request)
    return [r for r in found if r.role is Role.AIR and r.steps == ("bench/slats/1/coat-1",)]


def test_a_cold_night_forecast_is_told_before_the_coat_goes_on():
    (warning,) = told(5.0)
    assert warning.start == after(5)
    assert warning.alarm_at == after(0.5)
    assert "cold while the film forms from Sat 3 Oct 14:00" in warning.text
    assert "put the coat off" in warning.text


def test_once_the_coat_is_on_it_is_told_ahead_of_the_cold():
    (warning,) = told(5.0, done=("sand", "coat-1"), now_h=3.0)
    assert warning.alarm_at == after(4)
    assert "before that" in warning.text


@pytest.mark.parametrize("cold_from_h", [12.0, 40.0])
def test_cold_once_the_film_has_formed_is_no_matter(cold_from_h):
    assert told(cold_from_h) == []


def test_monthly_normals_warn_of_no_single_night():
    assert told(5.0, AirSource.NORMALS) == []
