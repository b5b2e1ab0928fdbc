"""The optimiser: never worse, sound, proved where small, cancelled in time, wishes kept."""

from __future__ import annotations

import datetime as dt
import itertools
import os
import signal
import time
from dataclasses import replace

import pytest

from finplan.journal.progress import Progress
from finplan.planning import optimise, solver
from finplan.planning.bound import Bound
from finplan.planning.by_all_orders import Tried
from finplan.planning.by_sessions import improve_by_sessions
from finplan.planning.check import faults
from finplan.planning.forward import forward
from finplan.planning.layout import lay_out
from finplan.planning.make import make_plan
from finplan.planning.plan import Method
from finplan.planning.search_words import READY, Effort, Word
from finplan.trade.workshop import Person
from tests.unit.planning.shops import EVENINGS, batch, project, request, workshop


@pytest.fixture(scope="module")
def three_doors():
    made = project(
        *(batch(name, "varnished door") for name in ("left", "middle", "right")),
        assembled_together=False,
    )
    return request(made, shop=workshop(EVENINGS))


def ready(plan):
    return max(one.safe for one in plan.ready)


def test_it_beats_the_forward_plan_and_proves_it(three_doors):
    forward = make_plan(three_doors)
    best = make_plan(replace(three_doors, seconds=200.0))
    assert forward.method is Method.FORWARD
    assert forward.bound <= ready(best) < ready(forward)
    assert best.method is Method.OPTIMAL
    assert best.gap == 0
    assert faults(three_doors, best) == []


def test_of_plans_as_soon_ready_one_with_fewer_sessions_is_found():
    made = project(
        batch("left", "oiled outdoor bench"),
        batch("middle", "varnished door"),
        batch("right", "waterborne table"),
        assembled_together=False,
    )
    asked = request(made, shop=workshop(EVENINGS))
    network = lay_out(asked)[0].network
    start = forward(network)
    best = optimise.optimise(network, start, int(asked.now.timestamp()), Effort(60.0, 1))
    assert best.proved
    (ready_s, _, sessions, _), (ready_before_s, _, sessions_before, _) = best.found.goal, start.goal
    assert ready_s == ready_before_s
    assert sessions < sessions_before


def test_a_short_search_is_never_worse(three_doors):
    forward = make_plan(three_doors)
    short = make_plan(replace(three_doors, seconds=0.2))
    assert ready(short) <= ready(forward)
    assert faults(three_doors, short) == []


def test_cancelling_keeps_the_best_so_far(three_doors):
    begun = time.monotonic()
    plan = make_plan(replace(three_doors, seconds=60.0), cancelled=lambda: True)
    assert time.monotonic() - begun < 20
    assert ready(plan) <= ready(make_plan(three_doors))


def test_a_pass_in_the_middle_of_which_time_is_over_is_dropped(three_doors):
    network = lay_out(three_doors)[0].network
    start = forward(network)
    asked = itertools.count(1)
    aim = Bound(0, "")  # never met: only the time ends the search
    found = improve_by_sessions(network, start, aim, 100, 0, lambda: next(asked) < 5)
    assert found is start
    assert next(asked) < 10


def dies_in_the_solver(theirs):
    """What a native crash of the solver looks like: a layout is told, then the process is gone."""
    theirs.send(READY)
    job = theirs.recv()
    theirs.send(Word(job.hint))
    os.kill(os.getpid(), signal.SIGSEGV)


def dies_as_it_loads(_):
    """What a solver that cannot be loaded looks like."""
    os._exit(1)


@pytest.mark.parametrize("dies", [dies_in_the_solver, dies_as_it_loads])
def test_when_the_solver_dies_the_plan_in_hand_stays_and_says_so(three_doors, monkeypatch, dies):
    monkeypatch.setattr(solver, "_child", dies)
    people = (Person("Ada", EVENINGS), Person("Bo", EVENINGS[:1]))  # work of two goes to the solver
    asked = replace(three_doors, workshop=workshop(people=people), seconds=30.0)
    plan = make_plan(asked)
    assert "the search broke off early; the best plan so far is kept" in plan.warnings
    assert ready(plan) <= ready(make_plan(replace(asked, seconds=0.0)))
    assert faults(asked, plan) == []


def test_the_solver_works_beside_the_search_over_all_orders_and_ends_it(three_doors, monkeypatch):
    asked = itertools.count()

    def without_end(network, start, now_s, kept, bound_s, going_on, **_):
        while going_on() and next(asked) < 20_000:  # more than three minutes
            time.sleep(0.01)
        return Tried(start, bound_s, proved=False, looked=True)

    monkeypatch.setattr(optimise, "try_all_orders", without_end)
    plan = make_plan(replace(three_doors, seconds=3000.0))
    assert plan.method is Method.OPTIMAL
    assert ready(plan) < ready(make_plan(three_doors))
    assert 0 < next(asked) < 20_000


def no_process(work):
    raise BlockingIOError("no more processes")


def test_where_no_process_is_to_be_had_the_plan_in_hand_stays_and_says_so(three_doors, monkeypatch):
    monkeypatch.setattr(solver, "start_aside", no_process)
    people = (Person("Ada", EVENINGS), Person("Bo", EVENINGS[:1]))
    asked = replace(three_doors, workshop=workshop(people=people), seconds=3.0)
    plan = make_plan(asked)
    assert any(words.startswith("no process could be started") for words in plan.warnings)
    assert ready(plan) <= ready(make_plan(replace(asked, seconds=0.0)))
    assert faults(asked, plan) == []


def test_a_small_shop_of_one_person_is_proved_without_the_solver(three_doors, monkeypatch):
    monkeypatch.setattr(solver, "_child", dies_in_the_solver)
    plan = make_plan(replace(three_doors, seconds=300.0))
    assert plan.method is Method.OPTIMAL
    assert plan.warnings == make_plan(three_doors).warnings
    assert faults(three_doors, plan) == []


def test_two_people_with_a_full_rack(three_doors):
    people = (Person("Ada", EVENINGS), Person("Bo", EVENINGS[:1]))
    asked = replace(three_doors, workshop=workshop(people=people, rack_m2=1.2), seconds=5.0)
    plan = make_plan(asked)
    assert ready(plan) <= ready(make_plan(replace(asked, seconds=0.0)))
    assert faults(asked, plan) == []


def test_a_kept_wish_stays_kept(three_doors):
    forward = make_plan(three_doors)
    coat = next(step for step in forward.steps if step.step == "coat-1-first")
    wish = coat.start + dt.timedelta(days=7)
    progress = Progress(wishes={(coat.batch, 1, coat.step): wish})
    asked = replace(three_doors, progress={"bench": progress}, seconds=3.0)
    plan = make_plan(asked)
    assert next(step for step in plan.steps if step.id == coat.id).start == wish
    assert faults(asked, plan) == []
