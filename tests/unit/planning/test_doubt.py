"""What the doubt about a date comes from."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import replace

import numpy as np
import pytest

from finplan.air.climate import normals_series
from finplan.planning.chance import chances
from finplan.planning.chance_words import held_in_words
from finplan.planning.doubt import Spread, doubt
from finplan.planning.make import make_plan
from finplan.planning.missed import Missed
from finplan.planning.worlds import Source, Worlds
from tests.unit.planning.shops import EVENINGS, NORMALS, NOW, request, workshop
from tests.unit.planning.test_chances import sure

DAY = dt.timedelta(days=1)


@pytest.fixture
def habit(monkeypatch):
    """A function that fixes how often work days are missed."""

    def fixed(missed):
        monkeypatch.setattr("finplan.planning.worlds.missed_days", lambda _: missed)

    return fixed


def unsure():
    """A request in air that is known from normals alone."""
    begin, end = (NOW - 20 * DAY).timestamp(), (NOW + 400 * DAY).timestamp()
    asked = request(shop=workshop(EVENINGS))
    normals = normals_series(NORMALS, "Europe/Oslo", begin, end)
    return replace(asked, air=dict.fromkeys(asked.air, normals))


def test_with_every_source_held_all_runs_are_one():
    asked = unsure()
    plan = make_plan(asked)
    assert len(set(chances(asked, plan, runs=12).ready_s["bench"])) > 4
    assert len(set(chances(asked, plan, runs=12, held=tuple(Source)).ready_s["bench"])) == 1


def test_a_source_that_is_held_leaves_the_draws_of_the_others_alone():
    asked = unsure()
    last = make_plan(asked).ready[0].safe
    drawn = Worlds(asked, last).world(3, 90)
    for source in Source:
        held = Worlds(asked, last, held=(source,)).world(3, 90)
        assert (held.bands == drawn.bands) == (source is not Source.DRYING)
        same = held.workshop.people == drawn.workshop.people
        assert same == (source is not Source.DAYS)
        for space, air in held.air.items():
            same = np.array_equal(air.temperature_c, drawn.air[space].temperature_c)
            assert same == (source is not Source.WEATHER)


def test_held_days_are_missed_as_often_as_usual_and_on_no_day_of_the_week(habit):
    habit(Missed(48, 132))
    asked = unsure()
    (person,) = Worlds(asked, NOW + 30 * DAY, held=(Source.DAYS,)).world(0, 90).workshop.people
    share = Missed(48, 132).share
    assert len(person.days_off) == pytest.approx(share * asked.horizon_days, abs=2)
    by_day = np.bincount([day.weekday() for day in person.days_off], minlength=7)
    assert by_day.min() >= 0.7 * by_day.mean()


def test_what_alone_is_in_doubt_weighs_all(habit):
    habit(Missed(0, 10**9))
    asked = unsure()
    plan = make_plan(asked)
    found = doubt(asked, plan, chances(asked, plan, runs=30), "bench", by=NOW + 14 * DAY)
    assert found.drawn.days > 0.0
    assert found.held[-1] == Spread(Source.DAYS, found.drawn.days, found.drawn.share)
    asked = sure(asked)
    plan = make_plan(asked)
    found = doubt(asked, plan, chances(asked, plan, runs=30), "bench")
    assert found.held[0] == Spread(Source.WEATHER, 0.0, None)
    assert [one.days for one in found.held[1:]] == pytest.approx([found.drawn.days] * 2, abs=1e-6)


def test_a_source_is_told_in_one_sentence():
    drawn = Spread(None, 61.3, 0.68)
    assert held_in_words(Spread(Source.WEATHER, 12.2, 0.93), drawn) == (
        "Were the weather as usual, 8 of 10 ready dates would span 12 days instead of 61 days, and "
        "9 of 10 would be in time instead of 7 of 10."
    )
    assert held_in_words(Spread(Source.DAYS, 61.0, 0.7), drawn) == (
        "Were days missed evenly, 8 of 10 ready dates would still span 61 days, and 7 of 10 still "
        "be in time."
    )
    assert held_in_words(Spread(Source.DRYING, 0.2, None), Spread(None, math.inf, None)) == (
        "Did every finish dry as is usual, 8 of 10 ready dates would span 1 day instead of more "
        "than a year."
    )
