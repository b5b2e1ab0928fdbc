"""What a reason names is there: every sentence of many plans, read again against the plan."""

from __future__ import annotations

import datetime as dt
import re
from zoneinfo import ZoneInfo

import pytest

from finplan.planning.hours import open_stretches
from finplan.planning.make import make_plan
from finplan.trade.steps import DUSTY_KINDS, WAITING_KINDS, WET_KINDS
from tests.benchmarks.shops_at_work import shop as invented_shop
from tests.unit.planning.shops import EVENINGS, batch, bench, project, request, workshop

SLOT = dt.timedelta(minutes=15)
STEP = r"“([^”]*)” \(([^)]*)\)"
AT = r"(\w{3} \d+ \w{3} \d\d:\d\d)"


class Read:
    """A plan's sentences, checked one by one against its steps and hours."""

    def __init__(self, asked):
        self.asked, self.plan = asked, make_plan(asked)
        self.zone = ZoneInfo(asked.workshop.zone)
        end = max(step.end for step in self.plan.steps)
        self.open = open_stretches(asked.workshop.people, self.zone, asked.now, end)
        self.settles = dt.timedelta(minutes=asked.workshop.dust_settles_minutes)

    def at(self, words, near):
        told = f"{words} {near.year} {near.astimezone(self.zone):%z}"
        return dt.datetime.strptime(told, "%a %d %b %H:%M %Y %z")

    def named(self, title, where):
        name, _, load = where.partition(", load ")
        number = int(load.split()[0]) if load else None
        found = [
            step
            for step in self.plan.steps
            if (step.title, step.batch) == (title, name) and number in (None, step.load)
        ]
        assert found, (title, where)
        return found

    def own(self, step):
        """The steps of the same load, and of the whole batch, that are over before a step."""
        return [
            one
            for one in self.plan.steps
            if (one.batch, one.load) == (step.batch, step.load)
            and one.end <= step.start
            and one.id != step.id
        ]

    def held(self, step):
        """From when a step's own waits let it start; cleaning comes just before it, if it does."""
        own = self.own(step)
        work = [one.end for one in own if not one.title.startswith("Blow")]
        last = max(own, key=lambda one: (one.end, one.start), default=step)
        cleaning = last.end - last.start if last.title.startswith("Blow") else dt.timedelta(0)
        waits = [step.waits_for.safe] if step.waits_for else []
        stands = re.search(rf"after a wait until {AT}", step.reason)
        waits += [self.at(stands[1], step.start)] if stands else []
        return max([*waits, max([self.asked.now, *work]) + cleaning])

    def begins(self, step):
        """When a step begins with the dusting off just before it."""
        cleaned = [
            one.start
            for one in self.own(step)
            if one.title.startswith("Blow") and one.end == step.start
        ]
        return min([step.start, *cleaned])

    def check(self, step):
        for kind, pattern in PATTERNS.items():
            found = re.search(pattern, step.reason)
            if found:
                getattr(self, kind)(step, *found.groups())

    def waits(self, step, title, where, safe, likely):
        assert step.waits_for is not None
        coat = next(one for one in self.plan.steps if one.id == step.waits_for.step)
        assert coat in self.named(title, where)
        assert coat.kind in WET_KINDS
        told = self.at(safe, step.start)
        assert abs(told - step.waits_for.safe) < dt.timedelta(minutes=1)
        assert self.at(likely, step.start) <= told <= step.start + SLOT

    def next_hours(self, step, when):
        begins = self.at(when, step.start)
        assert begins == self.begins(step)
        between = [one for one in self.open if one[1] > self.held(step) and one[0] < begins]
        assert all(end - max(start, self.held(step)) < SLOT for start, end in between)

    def too_short(self, step, hours, minutes):
        takes = dt.timedelta(hours=int(hours or 0), minutes=int(minutes or 0))
        between = [one for one in self.open if one[0] < step.start and one[1] > self.held(step)]
        assert all(
            min(end, step.start) - max(start, self.held(step)) < takes
            or start == max(one[0] for one in self.open if one[0] <= step.start)
            for start, end in between
        )

    def busy(self, step, person, title, where):
        pieces = [piece for one in self.named(title, where) for piece in one.pieces]
        assert any(
            start < step.start and end > self.held(step) - SLOT
            for start, end in pieces
            if any(one.person == person for one in self.named(title, where))
        )

    def wet(self, step, title, where, until):
        dry = self.at(until, step.start)
        coats = [one for one in self.named(title, where) if one.kind in WET_KINDS]
        assert step.kind in DUSTY_KINDS
        assert any(one.space == step.space and one.end < dry for one in coats)
        assert self.held(step) < dry
        assert dry <= step.start + SLOT or any(one.start > step.end for one in coats)

    def settles_before(self, step, title, where, until):
        settled = self.at(until, step.start)
        assert step.kind in WET_KINDS
        ends = [
            end
            for one in self.named(title, where)
            if one.kind in DUSTY_KINDS and one.space == step.space
            for _, end in one.pieces
        ]
        assert settled - self.settles in ends
        assert settled <= step.start

    def rack(self, step, until):
        assert step.kind in WET_KINDS
        assert self.held(step) < self.at(until, step.start) <= step.start


PATTERNS = {
    "waits": rf"[Ww]aits until {STEP} is [\w ]+: safe {AT}, likely {AT}",
    "next_hours": rf"the next work hours are at {AT}",
    "too_short": r"work hours until then are too short: it takes (?:(\d+) h)? ?(?:(\d+) min)?",
    "busy": rf"(\w+) is busy with {STEP}",
    "wet": rf"its dust would fall on {STEP}, wet until {AT}",
    "settles_before": rf"the dust of {STEP} settles until {AT}",
    "rack": rf"the rack in \w+ is full until .* comes off it {AT}",
}


@pytest.mark.parametrize("hours", ["hobby", "shop"])
@pytest.mark.parametrize("batches", [1, 3, 5, 10])
@pytest.mark.parametrize("seed", range(3))
def test_what_a_reason_names_is_so(hours, batches, seed):
    read = Read(invented_shop(batches, seed, hours))
    for step in read.plan.steps:
        assert step.reason or step.kind in WAITING_KINDS, step.id
        read.check(step)


def test_a_full_rack_is_told_with_what_lies_on_it():
    many = project(batch("slats"), batch("more"), parts=(bench(16),), assembled_together=False)
    asked = request(many, shop=workshop(EVENINGS, rack_m2=2.0))
    read = Read(asked)
    for step in read.plan.steps:
        read.check(step)
    assert any(re.search(PATTERNS["rack"], step.reason) for step in read.plan.steps)


def test_every_kind_of_reason_is_met():
    told = [
        step.reason
        for seed in range(2)
        for step in make_plan(invented_shop(10, seed, "hobby")).steps
    ]
    for kind in set(PATTERNS) - {"rack"}:
        assert any(re.search(PATTERNS[kind], reason) for reason in told), kind
