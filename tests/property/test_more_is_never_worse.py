"""Proven optima of small shops: an evening, rack or warmth more never makes them later."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from finplan.air.adjust import warmer
from finplan.drying.limits import may_coat
from finplan.planning.build import build
from finplan.planning.by_all_orders import try_all_orders
from finplan.planning.flat import Kept
from finplan.planning.forward import forward, missed_windows
from finplan.planning.rebuild import rebuilt
from finplan.planning.search_words import Effort, Job
from finplan.planning.shop import Stuck
from finplan.planning.solve import solve
from finplan.trade.workshop import Person, WorkWindow
from tests.property.test_brute_force import first_layout, optimum, tiny
from tests.property.whole_shops import air as air_of
from tests.property.whole_shops import examples, planned, whole_shops
from tests.unit.planning.shops import NOW, batch, bench, project, request, workshop

DAYS = 45
EVENINGS = (
    WorkWindow("FREQ=WEEKLY;BYDAY=TU,TH", dt.time(18), 180),
    WorkWindow("FREQ=WEEKLY;BYDAY=SA", dt.time(9), 300),
)
MONDAY = WorkWindow("FREQ=WEEKLY;BYDAY=MO", dt.time(18), 180)


def proven(asked):
    """The earliest ready time of all plans that keep every window, in quarter hours from now."""
    network = build(asked, DAYS).network
    start = forward(network, passes=12)
    now_s = int(NOW.timestamp())
    kept = Kept(missed=missed_windows(network, start))
    best, words = [start.goal[0]], []

    def tell(word):
        words.append(word)
        if word.layout is not None:
            best.append(rebuilt(network, word.layout).goal[0])

    effort = Effort(20.0, 1)
    solve(Job(network, now_s, start.layout.placed, start.goal[0], effort, kept), tell)
    quarters = -(-(min(best) - now_s) // 900)
    assert max(word.bound_quarters for word in words) >= quarters
    return quarters


def small_shop(template, mean_c, batches):
    made = [batch(f"batch-{number}", template) for number in range(batches)]
    shop = workshop(people=(Person("Ada", EVENINGS),), rack_m2=0.7)
    air = air_of(NOW, mean_c, 6.0, 0.0, 55.0)
    return request(project(*made, parts=(bench(4),)), shop=shop, air=air)


@pytest.mark.parametrize("batches", [1, 2])
@pytest.mark.parametrize("mean_c", [14.0, 20.0])
def test_an_evening_or_rack_more_is_never_worse(mean_c, batches):
    asked = small_shop("oiled outdoor bench", mean_c, batches)
    before, shop = proven(asked), asked.workshop
    ada = Person("Ada", (*EVENINGS, MONDAY))
    spaces = tuple(replace(one, rack_area_m2=2.0) for one in shop.spaces)
    for more in (replace(shop, people=(ada,)), replace(shop, spaces=spaces)):
        assert proven(replace(asked, workshop=more)) <= before


@pytest.mark.parametrize("template", ["shellac box", "sprayed cabinet"])
@pytest.mark.parametrize("mean_c", [11.0, 16.0])
def test_warmth_is_never_worse_where_no_window_closes(template, mean_c):
    asked = small_shop(template, mean_c, 2)
    coats = {step.finish for one in asked.projects[0].batches for step in one.steps if step.finish}
    assert not any(asked.finishes[name].scuff_past_window for name in coats)
    before = proven(asked)
    for by_c in (2.0, 6.0):
        air = {name: warmer(series, by_c) for name, series in asked.air.items()}
        assert proven(replace(asked, air=air)) <= before


@pytest.mark.parametrize("seed", range(400, 420))
def test_shorter_waits_and_better_air_are_never_worse_where_no_window_closes(seed):
    network = without_windows(tiny(seed))
    start = first_layout(network)
    if start is None:
        return
    warm = warmed(network)
    better = first_layout(warm)
    assert better is not None
    assert optimum(warm, better) <= optimum(network, start)


def without_windows(network):
    chains = tuple(
        replace(one, blocks=tuple(replace(block, windows=()) for block in one.blocks))
        for one in network.chains
    )
    return replace(network, chains=chains)


def warmed(network):
    """The same work, every wait two thirds as long, coats allowed at any hour."""
    axis = network.axis

    def sooner(table):
        return [
            axis.end_s(slot) + (at - axis.end_s(slot)) * 2 // 3 for slot, at in enumerate(table)
        ]

    def warm(node):
        wet = node.wet and replace(
            node.wet, dust_free=sooner(node.wet.dust_free), handle=sooner(node.wet.handle)
        )
        after = tuple(
            lag._replace(ready=sooner(lag.ready)) if lag.ready is not None else lag
            for lag in node.after
        )
        return replace(node, wet=wet, after=after, starts=-1)

    return replace(network, nodes=tuple(warm(node) for node in network.nodes))


def earliest(asked):
    """The earliest ready time of a whole shop, in quarter hours from now; None if not proved.

    Dusting off may stand in any session, so that plans of either shop are plans of the better one.
    """
    network = build(asked, DAYS).network
    nodes = tuple(replace(node, fresh=False) for node in network.nodes)
    network, now_s = replace(network, nodes=nodes), int(asked.now.timestamp())
    try:
        start = forward(network, passes=12)
    except Stuck:
        return None
    if missed_windows(network, start):
        return None
    looks = iter(range(2000))
    tried = try_all_orders(network, start, now_s, Kept(), 0, lambda: next(looks, None) is not None)
    if tried.proved:
        return -(-(tried.found.goal[0] - now_s) // 900)
    best, words = [start.goal[0]], []
    job = Job(network, now_s, start.layout.placed, start.goal[0], Effort(4.0, 1))
    solve(job, words.append)
    best += [rebuilt(network, word.layout).goal[0] for word in words if word.layout is not None]
    quarters = -(-(min(best) - now_s) // 900)
    return quarters if max(word.bound_quarters for word in words) >= quarters else None


def more(asked):
    """Shops with more of something than one has, by what it is."""
    shop = asked.workshop
    ada, spaces = shop.people[0], shop.spaces
    evening = WorkWindow("FREQ=WEEKLY;BYDAY=MO,SU", dt.time(18), 180)
    shops = {
        "evenings": {"people": (replace(ada, windows=(*ada.windows, evening)), *shop.people[1:])},
        "days not busy": {
            "people": tuple(replace(one, busy=(), days_off=()) for one in shop.people)
        },
        "a helper": {"people": (*shop.people, Person("Cy", (evening,)))},
        "rack": {"spaces": tuple(replace(s, rack_area_m2=1.5 * s.rack_area_m2) for s in spaces)},
        "sanding elsewhere": {"spaces": tuple(replace(space, dust_apart=True) for space in spaces)},
        "still air": {"dust_settles_minutes": 0},
    }
    better = {name: replace(asked, workshop=replace(shop, **gain)) for name, gain in shops.items()}
    better["no other project"] = replace(asked, projects=asked.projects[:1])
    used = [asked.finishes[name] for name in asked.finishes]
    if not any(finish.scuff_past_window and finish.window_closes_hours for finish in used):
        air = {name: warmer(series, 3.0) for name, series in asked.air.items()}
        if all(
            (
                may_coat(finish, air[name], series.at_s) >= may_coat(finish, series, series.at_s)
            ).all()
            for name, series in asked.air.items()
            for finish in used
        ):
            better["warmth"] = replace(asked, air=air)
    return better


@examples(12)
@given(whole_shops(most_batches=2, most_slats=4, wishes=False), st.data())
def test_no_more_of_anything_makes_the_best_plan_of_a_whole_shop_later(asked, data):
    plan = planned(asked)
    assume(plan is not None)
    progress = dict(asked.progress)
    for step in plan.steps:  # cut as it is now: a load that fills a larger rack takes longer
        loads = {**progress[step.project].loads, step.batch: step.loads}
        progress[step.project] = replace(progress[step.project], loads=loads)
    asked = replace(asked, progress=progress)
    before = earliest(asked)
    assume(before is not None)
    what, better = data.draw(st.sampled_from(list(more(asked).items())))
    after = earliest(better)
    assert after is None or after <= before, what
