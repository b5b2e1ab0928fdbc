"""Proven optima of small shops: an evening, rack or warmth more never makes them later."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest

from finplan.air.adjust import warmer
from finplan.planning.build import build
from finplan.planning.flat import Kept
from finplan.planning.forward import forward, missed_windows
from finplan.planning.rebuild import rebuilt
from finplan.planning.search_words import Effort, Job
from finplan.planning.solve import solve
from finplan.trade.workshop import Person, WorkWindow
from tests.property.test_brute_force import first_layout, optimum, tiny
from tests.property.whole_shops import air as air_of
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
    assert any(word.proved for word in words)
    return -(-(min(best) - now_s) // 900)


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
