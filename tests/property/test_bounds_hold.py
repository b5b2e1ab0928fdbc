"""No plan beats a bound: the bound of each kind against plans proven optimal."""

from __future__ import annotations

from dataclasses import replace

import pytest

from finplan.air.series import constant
from finplan.journal.progress import Progress
from finplan.planning import solve as solving_alone
from finplan.planning.binding import DUST, TOGETHER, named
from finplan.planning.bound import Bound, Latest, alone, lower_bound, most_urgent
from finplan.planning.build import build
from finplan.planning.by_all_orders import bound_of_few, try_all_orders
from finplan.planning.by_sessions import improve_by_sessions
from finplan.planning.check import faults
from finplan.planning.dress import dress
from finplan.planning.flat import Kept
from finplan.planning.forward import forward, missed_windows, rank
from finplan.planning.hours import SLOT_S
from finplan.planning.layout import lay_out
from finplan.planning.make import make_plan
from finplan.planning.network import State
from finplan.planning.optimise import kept_of
from finplan.planning.plan import Method
from finplan.planning.rebuild import rebuilt
from finplan.planning.search_words import Effort, Job
from finplan.planning.tidy import loosened
from tests.benchmarks.shops_at_work import COLD, WARM, days_ahead
from tests.benchmarks.shops_at_work import shop as invented_shop
from tests.unit.planning.shops import EVENINGS, NOW, batch, bench, project, request, workshop

NOW_S = int(NOW.timestamp())
MIXES = [
    ("varnished door", "waterborne table"),
    ("oiled outdoor bench", "varnished door"),
    ("shellac box", "waterborne table", "oiled outdoor bench"),
    ("varnished door", "varnished door"),
]


def built_of(templates, slats, rack_m2=4.0, celsius=16.0):
    batches = [batch(f"batch-{at}", name) for at, name in enumerate(templates)]
    made = project(*batches, parts=(bench(slats),), assembled_together=False)
    shop = workshop(EVENINGS, rack_m2=rack_m2)
    asked = request(made, shop=shop, air=constant(celsius, 50.0))
    return asked, build(asked, 240)


@pytest.fixture(scope="module", params=range(6))
def solved(request):
    """A network, its first layout, and the earliest ready time, proven."""
    templates = MIXES[request.param % len(MIXES)]
    slats, rack_m2, celsius = (4, 4.0, 16.0) if request.param < len(MIXES) else (9, 1.2, 21.0)
    asked, built = built_of(templates, slats, rack_m2, celsius)
    network = built.network
    start = forward(network)
    job = Job(
        network,
        NOW_S,
        start.layout.placed,
        start.goal[0],
        Effort(20.0, 2),
        Kept({}, missed_windows(network, start), ()),
    )
    told = []
    solving_alone.solve(job, told.append)
    best = min([start, *(rebuilt(network, word.layout) for word in told if word.layout)], key=goal)
    proved_s = NOW_S + told[-1].bound_quarters * SLOT_S
    proved = best.goal[0] <= max(proved_s, lower_bound(network).ready_s)
    if not proved:
        pytest.skip("not proven in the time there was")
    return asked, built, job, best


def goal(found):
    return found.goal


def test_the_path_and_the_hours_never_say_later_than_the_best_plan(solved):
    _, built, _, best = solved
    assert lower_bound(built.network).ready_s <= best.goal[0]


def fits_hour_by_hour(network, ready_s):
    """Whether all work is done in time if the most pressing is done each quarter hour.

    Work is broken off at will and everybody can do it; one person.
    """
    early = alone(network)
    late = Latest(network, early).lasts(ready_s)
    if late is None:
        return False
    left = {
        index: network.nodes[index].slots
        for index in early.first
        if network.nodes[index].state is State.WORK
    }
    for slot in range(len(network.axis)):
        there = [index for index, slots in left.items() if slots and early.first[index] <= slot]
        if there and network.axis.free[0] >> slot & 1:
            index = min(there, key=late.get)
            left[index] -= 1
            if slot > late[index]:
                return False
    return not any(left.values())


@pytest.mark.parametrize(("batches", "seed"), [(8, 1), (10, 2), (14, 3), (20, 2)])
def test_the_hours_bind_where_the_most_pressing_work_done_first_is_late(batches, seed):
    network = build(invented_shop(batches, seed, "hobby", COLD), days_ahead(batches)).network
    bound = lower_bound(network)
    assert bound.by == "hours of work"
    assert not fits_hour_by_hour(network, bound.ready_s - 1)
    assert fits_hour_by_hour(network, bound.ready_s + 900)


@pytest.mark.parametrize("pieces", [12, 30, 70])
def test_a_few_loads_never_say_later_than_the_best_plan(solved, pieces, monkeypatch):
    _, built, job, best = solved
    monkeypatch.setattr(solving_alone, "_FEW_TASKS", pieces)
    few = most_urgent(built.network, alone(built.network), pieces)
    quarters = solving_alone._bound_of_few(job)
    assert few
    assert NOW_S + (quarters - 1) * 900 < best.goal[0]


@pytest.mark.parametrize("nights", [COLD, WARM])
@pytest.mark.parametrize("seed", [0, 5, 12, 15])
def test_no_plan_of_an_invented_shop_beats_a_bound(seed, nights):
    asked = invented_shop(3, seed, "hobby", nights)
    built = build(asked, days_ahead(3))
    network, now_s = built.network, int(asked.now.timestamp())
    start, path = forward(network), lower_bound(network)
    turns = iter(range(1000))
    few_s = bound_of_few(
        network, now_s, path.ready_s, start.goal[0], lambda: next(turns, None) is not None
    )
    kept = kept_of(network, start)
    tried = try_all_orders(network, start, now_s, kept, path.ready_s, lambda: True)
    best = min(
        tried.found, improve_by_sessions(network, start, path, 20, seed, lambda: True), key=goal
    )
    assert path.ready_s <= few_s <= best.goal[0]
    assert tried.bound_s <= best.goal[0]
    assert faults(asked, dress(built, tried.found, Method.FORWARD, path)) == []


def test_filling_by_sessions_is_sound_and_never_worse(solved):
    asked, built, _, _ = solved
    network, start = built.network, forward(built.network)
    bound = lower_bound(network)
    found = improve_by_sessions(network, start, bound, 20, 1, lambda: True)
    assert rank(network, found) <= rank(network, start)
    assert found.goal[0] >= bound.ready_s
    assert faults(asked, dress(built, found, Method.FORWARD, bound)) == []
    again = improve_by_sessions(network, start, bound, 20, 1, lambda: True)
    assert found.layout == again.layout


def test_what_binds_is_named_by_what_would_have_to_be_away():
    _, built = built_of(("varnished door", "waterborne table", "shellac box"), 9, 40.0)
    network = built.network
    free = replace(network, dust_apart=(True,) * len(network.dust_apart))
    without = forward(free)
    best = forward(network)
    held_up = Bound(without.goal[0] + 1, TOGETHER)
    assert DUST in named(network, held_up, best, 0).by
    nothing_helps = Bound(lower_bound(free).ready_s, TOGETHER)
    assert named(network, nothing_helps, best, 0).by == TOGETHER
    assert named(network, Bound(1, "drying path"), best, 0).by == "drying path"


@pytest.mark.parametrize("template", ["tung oil bowl", "shellac box", "oiled outdoor bench"])
def test_where_a_wish_sets_dusting_off_apart_from_its_coat_the_bound_lets_it_be_apart(template):
    key = next(step.key for step in batch(template=template).steps if step.key.startswith("coat-4"))
    wishes = Progress(wishes={("slats", 1, key): NOW})
    asked = request(
        project(batch(template=template)),
        shop=workshop(EVENINGS),
        air=constant(12.0, 50.0),
        progress={"bench": wishes},
    )
    built, found = lay_out(asked)
    assert lower_bound(built.network).ready_s > found.goal[0]
    assert lower_bound(loosened(built.network, found)).ready_s <= found.goal[0]
    plan = make_plan(replace(asked, seconds=2.0, workers=1))
    assert plan.method is Method.OPTIMAL
    assert plan.ready[0].safe.timestamp() <= found.goal[0]
    assert faults(asked, plan) == []
