"""Projects planned together share people and rack: neither is promised what the other holds."""

from __future__ import annotations

import uuid
from dataclasses import replace
from itertools import combinations

import pytest

from finplan.planning.bound import lower_bound
from finplan.planning.build import build
from finplan.planning.by_sessions import improve_by_sessions
from finplan.planning.check import faults
from finplan.planning.forward import forward
from finplan.planning.improve import improve
from finplan.planning.make import make_plan
from tests.unit.planning.shops import EVENINGS, batch, bench, project, request, workshop

ONE_LOAD_M2 = 1.2
"""The rack takes one bench at a time."""


@pytest.fixture(scope="module")
def together():
    first = project(batch(), name="bench")
    second = replace(project(batch(), name="stool"), uid=uuid.UUID(int=2))
    return request(first, second, shop=workshop(EVENINGS, rack_m2=ONE_LOAD_M2))


def ready(plan):
    return {one.project: one.safe for one in plan.ready}


@pytest.mark.parametrize("seconds", [0.0, 2.0])
def test_two_projects_never_have_one_person_at_the_same_hour(together, seconds):
    plan = make_plan(replace(together, seconds=seconds))
    pieces = [piece for step in plan.steps if step.person for piece in step.pieces]
    assert {step.project for step in plan.steps} == {"bench", "stool"}
    assert not [
        (one, other)
        for one, other in combinations(pieces, 2)
        if one[0] < other[1] and other[0] < one[1]
    ]
    assert faults(together, plan) == []


def test_a_project_gives_way_to_another_on_the_rack(together):
    alone = {
        one.name: ready(make_plan(replace(together, projects=(one,))))[one.name]
        for one in together.projects
    }
    crowded, roomy = (
        ready(make_plan(replace(together, workshop=workshop(EVENINGS, rack_m2=rack_m2))))
        for rack_m2 in (ONE_LOAD_M2, 20 * ONE_LOAD_M2)
    )
    assert all(crowded[name] >= alone[name] for name in alone)
    assert max(crowded.values()) > max(roomy.values()) >= max(alone.values())


def test_optimising_never_makes_the_last_of_several_projects_later(together):
    forward, best = make_plan(together), make_plan(replace(together, seconds=3.0))
    assert max(ready(best).values()) <= max(ready(forward).values())
    assert best.bound <= max(ready(best).values())


def test_the_plan_of_both_does_not_change_with_who_is_asked_first(together):
    turned = replace(together, projects=together.projects[::-1])
    assert make_plan(turned) == make_plan(together)


def test_optimising_with_one_thread_gives_the_same_plan_again(together):
    asked = replace(together, seconds=60.0, workers=1)
    once, again = make_plan(asked), make_plan(asked)
    assert once.gap == 0.0
    assert once == again
    assert not any("another search" in warning for warning in once.warnings)


def test_a_search_with_one_thread_says_when_time_cut_it_off(together):
    plan = make_plan(replace(together, seconds=0.05, workers=1))
    assert any("another search may find another plan" in warning for warning in plan.warnings)


@pytest.mark.parametrize(("slats", "better"), [(8, improve), (16, improve_by_sessions)])
def test_a_search_goes_on_for_the_projects_that_are_not_ready_last(slats, better):
    """The long cure of one sets the date of all; the others need not wait for it."""
    pieces = (bench(slats),)
    asked = request(
        project(batch("door", template="varnished door"), name="door", parts=pieces),
        project(batch("seat"), name="seat", parts=pieces),
        project(batch("box", template="shellac box"), name="box", parts=pieces),
        shop=workshop(EVENINGS, 20.0),
    )
    network = build(asked, 240).network
    start, bound = forward(network), lower_bound(network)
    assert start.goal[0] <= bound.ready_s
    assert not bound.ends_search(network, start.goal[0])
    found = better(network, start, bound, 40, 0, lambda: True)
    assert found.goal[0] == start.goal[0]
    assert found.goal[1] < start.goal[1] - 24 * 3600
    soon = make_plan(asked)
    sought = make_plan(replace(asked, seconds=6.0))
    assert sum(one.safe.timestamp() for one in sought.ready) <= sum(
        one.safe.timestamp() for one in soon.ready
    )
    assert max(one.safe for one in sought.ready) == max(one.safe for one in soon.ready)
