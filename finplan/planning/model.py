"""The network as a constraint model on the compressed axis. Loaded only where it is solved."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from ortools.sat.python import cp_model

from finplan.planning.flat import FlatLag, Task, Tasks
from finplan.planning.hours import SLOT_S
from finplan.planning.network import Network
from finplan.planning.steps_of_tables import pieces_of

_AREA_UNITS = 100_000_000
"""Rack areas are reckoned in units of a hundred-millionth of a square metre."""


@dataclass(slots=True)
class Model:
    """The model and the variables a solution is read from.

    ``starts``: per task and unit of work, the slot. ``who``: per task and person, whether that
    person does it. ``ready``: per project, quarter hours from ``origin_s``, rounded up.
    """

    cp: cp_model.CpModel
    starts: dict[int, list[cp_model.IntVar]]
    who: dict[int, dict[int, cp_model.IntVar]]
    present: dict[int, cp_model.IntVar | None]
    ready: list[cp_model.IntVar]
    last_ready: cp_model.IntVar
    origin_s: int


class Builder:
    """Builds the model step by step; literals 'starts at or after' are shared."""

    def __init__(self, network: Network, tasks: Tasks, size: int, most_s: int) -> None:
        self.network = network
        self.tasks = tasks
        self.size = size
        self.cp = cp_model.CpModel()
        self.starts: dict[int, list[cp_model.IntVar]] = {}
        self.who: dict[int, dict[int, cp_model.IntVar]] = {}
        self.present: dict[int, cp_model.IntVar | None] = {}
        self._domain: dict[int, list[int]] = {}
        self._at_least: dict[tuple[int, int], cp_model.IntVar] = {}
        self._intervals: dict[int, list[cp_model.IntervalVar]] = {}
        self.origin_s = tasks.now_s
        self.most = -(-(most_s - self.origin_s) // SLOT_S)

    def build(self) -> Model:
        """Make the whole model."""
        for task in self.tasks.tasks:
            self._task(task)
        for task in self.tasks.tasks:
            for lag in task.after:
                self._lag(lag, task)
            if task.glued is not None:
                self._glue(task)
        self._windows()
        for clean, coat in self.tasks.together:
            when = self._on(clean)
            self.cap(self.starts[clean][0], self.starts[coat][0], self.tasks.session_end, when)
        for person in range(len(self.network.axis.free)):
            self.cp.add_no_overlap(self._intervals.get(person, []))
        self._dust()
        self._rack()
        ready = [self._ready(each) for each in self.tasks.finals]
        last = self.cp.new_int_var(0, self.most, "last ready")
        self.cp.add_max_equality(last, ready)
        return Model(self.cp, self.starts, self.who, self.present, ready, last, self.origin_s)

    def _task(self, task: Task) -> None:
        optional = self.cp.new_bool_var("") if task.optional else None
        self.present[task.node] = optional
        units = task.slots if task.split else 1
        length = 1 if task.split else task.slots
        own: list[cp_model.IntVar] = []
        people = {person: self.cp.new_bool_var("") for person in task.people if task.starts[person]}
        if len(people) == 1 and optional is None:
            self.cp.add(next(iter(people.values())) == 1)
        elif optional is None:
            self.cp.add_exactly_one(people.values())
        else:
            self.cp.add(sum(people.values()) == optional)
        union = sorted({slot for person in people for slot in task.starts[person]})
        for _ in range(units):
            start = self.cp.new_int_var_from_domain(cp_model.Domain.from_values(union), "")
            own.append(start)
            for person, does in people.items():
                if len(people) > 1:
                    domain = cp_model.Domain.from_values(task.starts[person])
                    self.cp.add_linear_expression_in_domain(start, domain).only_enforce_if(does)
                self._intervals.setdefault(person, []).append(
                    self.cp.new_optional_fixed_size_interval_var(start, length, does, "")
                )
        self.starts[task.node] = own
        self.who[task.node] = people
        for number, start in enumerate(own):
            self._domain[start.index] = union
            if number:
                self.cp.add(start > own[number - 1])
        if task.pinned is not None:
            self.cp.add(own[0] == task.pinned)
        if units > 1:
            self._whole_pieces(task, own)

    def _whole_pieces(self, task: Task, own: list[cp_model.IntVar]) -> None:
        """No piece of split work is shorter than the workshop's least."""
        least = min(self.network.least_slots, task.slots)
        if least < 2:
            return
        joined = [slot for slot in range(self.size) if (self.network.axis.joined >> slot) & 1]
        domain = cp_model.Domain.from_values(joined)
        links = []
        for before, after in pairwise(own):
            link = self.cp.new_bool_var("")
            self.cp.add(after == before + 1).only_enforce_if(link)
            self.cp.add_linear_expression_in_domain(before, domain).only_enforce_if(link)
            links.append(link)
        for link in [*links[: least - 1], *links[len(links) - least + 1 :]]:
            self.cp.add(link == 1)
        for at in range(len(links)):
            for near in links[at + 1 : at + least]:
                self.cp.add_bool_or(links[at], near)

    def at_least(self, start: cp_model.IntVar, slot: int) -> cp_model.LiteralT:
        """A shared literal for 'starts at or after a slot' (or the constant it is)."""
        domain = self._domain[start.index]
        if slot <= domain[0]:
            return True
        if slot > domain[-1]:
            return False
        key = (start.index, slot)
        if key not in self._at_least:
            literal = self.cp.new_bool_var("")
            self.cp.add(start >= slot).only_enforce_if(literal)
            self.cp.add(start < slot).only_enforce_if(~literal)
            self._at_least[key] = literal
        return self._at_least[key]

    def push(
        self,
        start: cp_model.IntVar,
        target: cp_model.LinearExprT,
        table: Callable[[int], int],
        when: Sequence[cp_model.LiteralT] = (),
    ) -> None:
        """``target`` is at least ``table(start)``; the table rises."""
        pieces = pieces_of(self._domain[start.index], table)
        for at, piece in enumerate(pieces):
            after = self.at_least(start, piece.low)
            conditions = [*when] if after is True else [*when, after]
            first = piece.value + piece.low if piece.slope else piece.value
            self.cp.add(target >= first).only_enforce_if(conditions)
            if piece.slope:
                if at + 1 < len(pieces):
                    conditions = [*conditions, ~self.at_least(start, pieces[at + 1].low)]
                self.cp.add(target >= start + piece.value).only_enforce_if(conditions)

    def cap(
        self,
        start: cp_model.IntVar,
        target: cp_model.LinearExprT,
        table: Callable[[int], int],
        when: Sequence[cp_model.LiteralT],
    ) -> None:
        """``target`` is at most ``table(start)``; the table rises."""
        pieces = pieces_of(self._domain[start.index], table)
        last = self._domain[start.index][-1]
        for at, piece in enumerate(pieces):
            conditions = [*when]
            end = last
            if at + 1 < len(pieces):
                conditions.append(~self.at_least(start, pieces[at + 1].low))
                end = pieces[at + 1].low - 1
            most = piece.value + end if piece.slope else piece.value
            self.cp.add(target <= most).only_enforce_if(conditions)
            if piece.slope:
                after = self.at_least(start, piece.low)
                exact = conditions if after is True else [*conditions, after]
                self.cp.add(target <= start + piece.value).only_enforce_if(exact)

    def _on(self, node: int) -> list[cp_model.IntVar]:
        literal = self.present[node]
        return [] if literal is None else [literal]

    def _lag(self, lag: FlatLag, task: Task) -> None:
        before = self.tasks.by_node[lag.before]
        start = self.starts[before.node][-1]
        reach = 0 if before.split else before.slots - 1
        when = [*self._on(before.node), *self._on(task.node)]
        table = self.tasks.allowed(lag, reach)
        self.push(start, self.starts[task.node][0], table, when)

    def _glue(self, task: Task) -> None:
        coat = self.tasks.by_node[task.glued_to]
        choices = []
        for gap, slots in task.gaps:
            literal = self.cp.new_bool_var("")
            start = self.starts[coat.node][0]
            self.cp.add(self.starts[task.node][0] == start + coat.slots + gap).only_enforce_if(
                literal
            )
            self.cp.add_linear_expression_in_domain(
                start, cp_model.Domain.from_values(slots)
            ).only_enforce_if(literal)
            choices.append(literal)
        self.cp.add_exactly_one(choices)

    def _windows(self) -> None:
        for window in self.tasks.windows:
            target = self.starts[window.node][0]
            literals = [self.present[node] for node in window.optional]
            known = [literal for literal in literals if literal is not None]
            for literal in known[1:]:
                self.cp.add(literal == known[0])
            when = [~known[0]] if known else []
            if window.before is None:
                self.cp.add(target <= window.most).only_enforce_if(when)
                continue
            before = self.tasks.by_node[window.before]
            self.cap(
                self.starts[before.node][-1],
                target,
                self.tasks.until(window, before.slots - 1),
                when,
            )

    def _dust(self) -> None:
        for space, apart in enumerate(self.network.dust_apart):
            own = [task for task in self.tasks.tasks if task.space == space]
            dusty = [task for task in own if task.dusty]
            wet = [task for task in own if task.wet is not None]
            if apart or not dusty or not wet:
                continue
            clean_from = {task.node: self._clean_from(task) for task in wet}
            before: dict[int, dict[int, cp_model.IntVar]] = {}
            units = []
            for one in dusty:
                for start in self.starts[one.node]:
                    settled = self.cp.new_int_var(0, self.size, "")
                    self.push(start, settled, self.tasks.settled(one))
                    literals = {
                        coat.node: self._apart(one, start, settled, coat, clean_from[coat.node])
                        for coat in wet
                    }
                    before[start.index] = {
                        node: literal for node, literal in literals.items() if literal is not None
                    }
                    units.append((one, start.index))
            self._in_order(units, wet, before)

    def _in_order(
        self,
        units: list[tuple[Task, int]],
        wet: list[Task],
        before: dict[int, dict[int, cp_model.IntVar]],
    ) -> None:
        """What is said of one coat holds for the coats after it, and for the dust before.

        Nothing new, but the solver sees at once what it would find by trying.
        """
        for (dusty, unit), (after, later) in pairwise(units):
            if dusty.chain != after.chain or dusty.optional or after.optional:
                continue
            for node, literal in before[later].items():
                self.cp.add_implication(literal, before[unit][node])
        for dusty, unit in units:
            for coat, next_coat in pairwise(wet):
                if coat.chain == next_coat.chain != dusty.chain and not dusty.optional:
                    literals = before[unit]
                    self.cp.add_implication(literals[coat.node], literals[next_coat.node])

    def _clean_from(self, coat: Task) -> cp_model.IntVar:
        """The first slot at which the coat no longer takes dust."""
        clean = self.cp.new_int_var(0, self.size, "")
        self.push(self.starts[coat.node][0], clean, self.tasks.dust_free(coat))
        return clean

    def _apart(
        self,
        dusty: Task,
        start: cp_model.IntVar,
        settled: cp_model.IntVar,
        coat: Task,
        clean: cp_model.IntVar,
    ) -> cp_model.IntVar | None:
        """Dust settles before a coat, or comes when it is dust-free.

        Returns:
            The literal 'dust first'; None where the load's own steps settle it.
        """
        on = self._on(dusty.node)
        coat_start = self.starts[coat.node][0]
        if dusty.chain == coat.chain:
            first = dusty.node < coat.node
            fact = coat_start >= settled if first else start >= clean
            self.cp.add(fact).only_enforce_if(on)
            return None
        before = self.cp.new_bool_var("")
        self.cp.add(coat_start >= settled).only_enforce_if([before, *on])
        self.cp.add(start >= clean).only_enforce_if([~before, *on])
        return before

    def _rack(self) -> None:
        for space, room in enumerate(self.network.rack_m2):
            chains = {
                stay.chain: self.network.chains[stay.chain].area_m2
                for stay in self.tasks.stays
                if self.network.chains[stay.chain].space == space
            }
            fixed = [stay for stay in self.tasks.fixed_stays if stay.space == space]
            if sum(chains.values()) + sum(stay.area_m2 for stay in fixed) <= room:
                continue
            intervals, demands = [], []
            for stay in self.tasks.stays:
                if stay.chain not in chains:
                    continue
                until = self.cp.new_int_var(0, self.size, "")
                for coat in stay.coats:
                    task = self.tasks.by_node[coat]
                    self.push(self.starts[coat][0], until, self.tasks.handled(task))
                begin: cp_model.LinearExprT = 0
                if not stay.held:
                    begin = self.starts[stay.coats[0]][0]
                length = self.cp.new_int_var(0, self.size, "")
                intervals.append(self.cp.new_interval_var(begin, length, until, ""))
                demands.append(_units(chains[stay.chain]))
            for known in fixed:
                size = known.until - known.first
                intervals.append(self.cp.new_fixed_size_interval_var(known.first, size, ""))
                demands.append(_units(known.area_m2))
            self.cp.add_cumulative(intervals, demands, round(room * _AREA_UNITS))

    def _ready(self, finals: Sequence[FlatLag]) -> cp_model.IntVar:
        ready = self.cp.new_int_var(0, self.most, "")
        for lag in finals:
            if lag.before < 0:
                self.cp.add(ready >= self.tasks.quarters(lag.fixed_s))
                continue
            before = self.tasks.by_node[lag.before]
            reach = 0 if before.split else before.slots - 1
            table = self.tasks.quarters_after(lag, reach)
            self.push(self.starts[before.node][-1], ready, table, self._on(before.node))
        return ready


def _units(area_m2: float) -> int:
    return max(1, int(area_m2 * _AREA_UNITS - 1e-6))
