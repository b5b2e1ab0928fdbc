"""Of every request without a plan the reasons named are a smallest set: each was tried."""

from __future__ import annotations

import datetime as dt

import numpy as np
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from finplan.air.series import AirSeries
from finplan.planning.hindered import why_too_late
from finplan.planning.layout import lay_out
from finplan.planning.obstacle_words import said
from finplan.planning.obstacles import Trial, any_plan, obstacles, ready_by
from finplan.planning.request import NoPlan
from finplan.planning.restrictions import lifted, restrictions_of
from finplan.trade.steps import StepKind
from finplan.trade.workshop import Person, WorkWindow
from tests.unit.planning.shops import NOW, batch, bench, project, request, workshop

TEMPLATES = ("oiled outdoor bench", "varnished door", "waterborne table", "shellac box")


@st.composite
def shops(draw, *, easy=False):
    """Small shops; unless easy most are short of something: hours, warmth, dry air, rack, skill."""
    people = []
    for name in ("Ada", "Bo")[: draw(st.integers(1, 2))]:
        start = draw(st.sampled_from([4, 11, 18]))
        minutes = draw(st.sampled_from([240, 400] if easy else [30, 60, 150, 400]))
        days = draw(st.sampled_from(["DAILY", "WEEKLY;BYDAY=SA"]))
        window = WorkWindow(f"FREQ={days}", dt.time(start), minutes)
        hardly = frozenset(StepKind) - {draw(st.sampled_from([StepKind.COAT, StepKind.SAND]))}
        can = draw(st.sampled_from([None, None, hardly])) if not easy else None
        windows = (window,) if easy or draw(st.integers(0, 9)) else ()
        people.append(Person(name, windows, can=can))
    at = (NOW - dt.timedelta(days=3)).timestamp() + 3600.0 * np.arange(24 * 130)
    mean, swing = draw(st.floats(14 if easy else 0, 22)), draw(st.floats(0, 12))
    temperature = mean + swing / 2 * np.sin(2 * np.pi * (at / 86400.0 - 0.35))
    damp = np.full(len(at), draw(st.sampled_from([45.0, 60.0] if easy else [45.0, 70.0, 96.0])))
    air = AirSeries(at, temperature, damp, np.zeros(len(at), np.uint8))
    own = batch(template=draw(st.sampled_from(TEMPLATES)))
    made = project(own, parts=(bench(draw(st.integers(1, 12))),))
    rack = draw(st.sampled_from([0.6, 3.0] if easy else [0.05, 0.6, 3.0]))
    shop = workshop(people=tuple(people), rack_m2=rack)
    return request(made, shop=shop, air=air, horizon_days=120)


def possible(asked, good=any_plan, *, thorough=False):
    try:
        return good(*lay_out(asked, thorough=thorough))
    except NoPlan:
        return False


def looked_at(asked, good):
    """Each set leaves no wanted plan by itself; without any one of its reasons there is one."""
    everything = set(restrictions_of(asked))
    found = obstacles(Trial(asked, good))
    for one in found:
        own = set(one.restrictions)
        assert not possible(lifted(asked, everything - own), good, thorough=True)
        for reason in own:
            without = lifted(asked, everything - own | {reason})
            assert possible(without, good, thorough=True), reason
    named = [one for each in found for one in each.restrictions]
    assert len(named) == len(set(named))
    if all(one.restrictions for one in found) and len(found) < 4:
        assert possible(lifted(asked, named), good, thorough=True)
    return found


@settings(max_examples=8, suppress_health_check=list(HealthCheck))
@given(shops())
def test_the_reasons_against_any_plan_are_a_smallest_set(asked):
    assume(not possible(asked))
    found = looked_at(asked, any_plan)
    assert found or possible(asked, thorough=True)
    for one in found:
        assert one.fact
        assert all(said(asked, reason, None) for reason in one.restrictions)


@settings(max_examples=12, suppress_health_check=list(HealthCheck))
@given(shops(easy=True), st.floats(0.3, 0.98))
def test_the_reasons_against_a_date_are_a_smallest_set(asked, share):
    assume(possible(asked))
    goal_s = lay_out(asked)[1].goal[0]
    end_s = NOW.timestamp() + share * (goal_s - NOW.timestamp())
    end = dt.datetime.fromtimestamp(end_s, dt.UTC)
    looked_at(asked, ready_by(end))


@settings(max_examples=5, suppress_health_check=list(HealthCheck))
@given(shops(easy=True), st.integers(1, 9))
def test_every_way_to_meet_a_date_meets_it(asked, days):
    assume(possible(asked))
    ready = dt.datetime.fromtimestamp(lay_out(asked)[1].goal[0], dt.UTC)
    late = why_too_late(asked, (ready - dt.timedelta(days=days)).date())
    assume(late is not None)
    end = dt.datetime.combine(late.by + dt.timedelta(days=1), dt.time(), dt.UTC)
    ways = [*late.drops, *(way for one in late.hindrances for way in one.ways)]
    assert all(way.ready <= end for way in ways)
    assert late.closest is None or not late.drops
