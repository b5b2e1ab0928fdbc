"""Plans laid out step by step by nothing but the checker: they share no code with the planners."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import replace
from zoneinfo import ZoneInfo

from finplan.planning.check import faults
from finplan.planning.check_clocks import Clocks
from finplan.planning.check_shop import hours_of
from finplan.trade.steps import JOINING_KINDS, WAITING_KINDS, WET_KINDS, StepKind

MINUTE, QUARTER, DAY = dt.timedelta(minutes=1), dt.timedelta(minutes=15), dt.timedelta(days=1)
NOT_YET = ("is missing", "nothing is planned")
LOOKED_AHEAD, TRIES = 30 * DAY, 500


class ByHand:
    """One plan in the making. Work is done in one piece, each coat right after its dusting off."""

    def __init__(self, asked, plan):
        self.asked = asked
        self.empty = replace(plan, steps=(), warnings=())
        self.clocks = Clocks(asked)
        self.kinds = {
            (project.name, batch.name): {step.key: step for step in batch.steps}
            for project in asked.projects
            for batch in project.batches
        }
        self.tries = 0
        self.placed = [step for step in plan.steps if step.done]
        self.rows = {}
        for step in plan.steps:
            if not step.done:
                joined = self._joined(step)
                self.rows.setdefault((step.project, step.batch, joined, step.load), []).append(step)
        for row in self.rows.values():
            row.sort(key=lambda step: list(self._steps(step)).index(step.step), reverse=True)

    def _steps(self, step):
        return self.kinds[step.project, step.batch]

    def _joined(self, step):
        keys = list(self._steps(step))
        kinds = [self._steps(step)[key].kind for key in keys]
        first = next((at for at, kind in enumerate(kinds) if kind in JOINING_KINDS), len(kinds))
        return keys.index(step.step) >= first

    def finished(self, chance):
        """The plan with its loads taken up in a chance order; None where one gets stuck."""
        while self.rows:
            # What is done to a whole batch comes when all loads of all batches are through.
            apart = [key for key in self.rows if not key[2]]
            row = self.rows[chance.choice(sorted(apart or self.rows))]
            group = [row.pop()]
            while row and group[-1].kind in (StepKind.CLEAN, StepKind.TURN, *WET_KINDS):
                follows = row[-1].kind
                wiped = group[-1].kind in WET_KINDS and follows is StepKind.WIPE_OFF
                if not wiped and (group[-1].kind in WET_KINDS or follows not in WET_KINDS):
                    break
                group.append(row.pop())
            placed = self._first_place(group)
            if placed is None:
                return None
            self.placed += placed
            self.rows = {key: row for key, row in self.rows.items() if row}
        return self._with([])

    def _with(self, more):
        steps = sorted([*self.placed, *more], key=lambda step: (step.start, step.end, step.id))
        return replace(self.empty, steps=tuple(steps))

    def _amiss(self, more):
        found = faults(self.asked, self._with(more))
        return any(not any(words in one for words in NOT_YET) for one in found)

    def _first_place(self, group):
        first = group[0]
        own = [step.end for step in self.placed if self._comes_before(step, first)]
        dry = []
        for step in self._in_a_row(group, self.asked.now, ""):
            offset = step.start - self.asked.now
            dry.append(self._ready(step) - offset)
        earliest = max([self.asked.now, *own, *dry])
        if first.kind in WAITING_KINDS:
            at = -(-earliest.timestamp() // 1)
            when = dt.datetime.fromtimestamp(at, dt.UTC)
            placed = replace(first, start=when, end=when, pieces=((when, when),))
            return None if self._amiss([placed]) else [placed]
        zone = ZoneInfo(self.asked.workshop.zone)
        starts = sorted(
            (at, person.name)
            for person in self.asked.workshop.people
            for begin, end in hours_of(person, zone, self.asked.now, earliest + LOOKED_AHEAD)
            for at in quarters(begin, end)
            if at >= earliest
        )
        for at, person in starts[: TRIES - self.tries]:
            self.tries += 1
            placed = self._in_a_row(group, at, person)
            if not self._amiss(placed):
                return placed
        return None

    def _comes_before(self, step, other):
        if self._joined(other) or step.done:
            return step.project == other.project
        return (step.project, step.batch, step.load) == (other.project, other.batch, other.load)

    def _ready(self, step):
        """When what a step waits for is dry, by the checker's clocks."""
        stage = self._steps(step)[step.step].waits_for
        coats = [one for one in self.placed if one.kind in WET_KINDS and not one.skipped]
        own = [one for one in coats if self._comes_before(one, step)]
        last = {}
        for one in sorted(own, key=lambda one: one.end):
            last[one.project, one.batch, one.load] = one
        if stage is None or not last:
            return self.asked.now
        moments = [
            self.clocks.of(self.clocks.finish_of(one), one.space).ready(one.end.timestamp(), stage)
            for one in last.values()
        ]
        return dt.datetime.fromtimestamp(min(max(moments), 4e9), dt.UTC)

    def _in_a_row(self, group, at, person):
        placed = []
        for step in group:
            if step.kind is StepKind.WIPE_OFF:
                at += self._soaks_in(step)
            minutes = max(1, math.ceil(step.minutes / 15 - 1e-9)) * 15
            end = at + minutes * MINUTE
            placed.append(replace(step, start=at, end=end, pieces=((at, end),), person=person))
            at = end
        return placed

    def _soaks_in(self, step):
        """The wait before wiping: whole quarter hours where the finish allows some, else exact."""
        span = self.asked.finishes[self._steps(step)[step.step].finish].wipe_off_minutes
        whole = -(-span.low // 15) * 15
        return (whole if whole <= span.high else span.low) * MINUTE


def quarters(begin, end):
    """The quarter hours that begin between two instants."""
    at = dt.datetime.fromtimestamp(-(-begin.timestamp() // 900) * 900, dt.UTC)
    while at < end:
        yield at
        at += QUARTER
