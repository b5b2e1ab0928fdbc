"""Every order of one person's work, slot by slot, but for those that cannot be better."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from finplan.planning.lines import Lines, Spot
from finplan.planning.network import Placed
from finplan.planning.order_states import Ahead, Done, State, led
from finplan.planning.places import FAR, Place, Places
from finplan.planning.search_words import Layouts

_URGENT = 1.1
"""Where not all states are kept: work with a slot less to spare counts so many times more."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a search over all orders says.

    ``whole``: no order was left out, so that without a layout there is none. ``layout``: a good
    one, ready at ``ready_s``. ``states``: how many states of the shop were looked at.
    """

    whole: bool
    layout: Layouts | None
    ready_s: int
    states: int


class Move(NamedTuple):
    """Work that may be done next."""

    line: int
    place: Place
    slots: int
    start: int


class Options(NamedTuple):
    """What a line may go on with.

    ``late``: it cannot be in time any more. ``over``: from when on the first of them is in nobody's
    way. ``put_off``: work with the next later start worth trying, and the last.
    """

    late: bool
    moves: list[Move]
    over: int
    put_off: list[tuple[Move, int, int]]


class AllOrders:
    """A search over all orders in which all can be ready by an instant.

    In a state the work of some lines is done, and the person is free from a slot on. Whatever is
    done next is put at its first hour; of two states with the same work done, one that is free no
    later, waits for nothing longer and has no worse air makes the other needless.
    """

    def __init__(self, lines: Lines, ready_s: int) -> None:
        """Set up the search for layouts that are ready by an instant, in seconds."""
        self._lines = lines
        self._ready_s = ready_s
        self._sessions = lines.network.axis.sessions
        self._places = Places(lines, ready_s)
        self._rows = self._places.rows
        self._options: dict[tuple[object, ...], Options] = {}

    def search(
        self, width: int, most_states: int, going_on: Callable[[], bool] = lambda: True
    ) -> Outcome:
        """Look through the orders.

        Args:
            width: the most states kept of those in which the person is free at the same slot.
            most_states: after so many the search ends.
            going_on: asked at every slot.
        """
        places = self._places
        if not places.possible:
            return Outcome(True, None, 0, 0)
        self._ahead = Ahead()
        self._best: tuple[int, Layouts | None] = self._ready_s + 1, None
        at = tuple(0 for _ in self._rows)
        self._ahead.add(0, State(at, places.held, places.air, places.lie, places.need, 0, None))
        whole, states = not places.wiped, 0
        while self._ahead:
            if states > most_states or not going_on():
                whole = False
                break
            slot, groups = self._ahead.next()
            states += sum(map(len, groups))
            live = self._live(slot, groups)
            if len(live) > width:
                whole = False
                live.sort(key=lambda one: self._urgency(one[0], one[1], slot))
            for state, moves in live[:width]:
                for move in moves:
                    self._go_on(state, move)
        return Outcome(whole, self._best[1], self._best[0], states)

    def _live(self, slot: int, groups: Sequence[list[State]]) -> list[tuple[State, list[Move]]]:
        """The states at a slot that can be in time, with what may be done next."""
        self._options.clear()
        live = []
        for group in groups:
            before = self._ahead.seen(group[0].at)
            for state in group:
                if not led(before, state, slot):
                    moves = self._moves(state, slot)
                    if moves is not None:
                        before.append(state)
                        live.append((state, moves))
        return live

    def _go_on(self, state: State, move: Move) -> None:
        """Take in the state after a move."""
        new, end = self._after(state, move), move.start + move.slots
        if new is None:
            return
        if all(at == len(row) for at, row in zip(new.at, self._rows, strict=True)):
            self._best = min(self._best, self._laid_out(new), key=lambda one: one[0])
        elif self._places.in_time(new.need, end):
            self._ahead.add(end, new)

    def _moves(self, state: State, slot: int) -> list[Move] | None:
        """What may be done next; None if something can no longer be in time.

        Whatever starts only when other work could be over, with its dust settled or its coat
        dust-free, may wait until that is done.
        """
        each, horizon = [], FAR
        for line, at in enumerate(state.at):
            needs = self._places.needs[line][at]
            if needs is None or (needs and any(state.at[other] < until for other, until in needs)):
                continue
            air, lie = self._places.asks[line][at]
            key = line, at, state.held[line], state.air if air else (), state.lie if lie else ()
            options = self._options.get(key)
            if options is None:
                options = self._options[key] = self._options_of(state, line, slot)
            if options.late:
                return None
            each.append(options)
            horizon = min(horizon, options.over)
        kept = []
        for options in each:
            for move in options.moves:
                if move.start < horizon:
                    kept.append(move)
            for move, later, last in options.put_off:
                if later < horizon:
                    kept.extend(self._put_off(move, later, min(horizon, last + 1)))
        return kept

    def _options_of(self, state: State, line: int, slot: int) -> Options:
        late, over, moves, put_off = True, FAR, list[Move](), list[tuple[Move, int, int]]()
        row = state.held[line]
        for place in self._places.choices[line][state.at[line]]:
            first = self._first(state, line, place, slot)
            deadline = place.limit
            if place.closing is not None:
                deadline = min(deadline, FAR - row[place.closing])
            for slots, mask in place.runs:
                start = _next_bit(mask, first)
                if start is None or start > deadline:
                    continue
                late = False
                if place.comes_on is not None:
                    opens = self._rack_opens(state, line, place.comes_on, start)
                    start = None if opens is None else _next_bit(mask, opens)
                    if start is None or start > deadline:
                        continue
                move = Move(line, place, slots, start)
                moves.append(move)
                if slots == place.left:
                    over = min(over, self._over(state, line, place, start))
                if place.puts_off:
                    later = self._later(place, slots, start)
                    if later is not None and later <= deadline:
                        put_off.append((move, later, deadline))
        return Options(late, moves, over, put_off)

    def _rack_opens(self, state: State, line: int, number: int, slot: int) -> int | None:
        """The first slot from one on in which the rack has room; None while others must move."""
        rack = self._lines.racks[number]
        room = rack.room_m2 - rack.areas[line]
        there = [(until, area) for area, until in rack.fixed if until > slot]
        there += [
            (until, rack.areas[other])
            for other, until in enumerate(state.lie)
            if until > slot and other != line
        ]
        area = sum(own for _, own in there)
        for until, own in sorted(there):
            if area <= room:
                break
            if until >= FAR:
                return None
            area, slot = area - own, until
        return slot if area <= room else None

    def _first(self, state: State, line: int, place: Place, slot: int) -> int:
        """The first slot a place's work may start in."""
        first = slot
        if place.release is not None:
            first = max(first, state.held[line][place.release])
        if place.reads >= 0:
            first = max(first, state.air[place.reads])
        if place.coat is not None:
            coat = place.coat
            on = first if coat.release is None else max(first, state.held[line][coat.release])
            if coat.reads >= 0:
                on = max(on, state.air[coat.reads])
            coated = _next_bit(coat.runs[0][1], on)
            if coated is not None:
                first = max(first, self._sessions[coated])
        return first

    def _over(self, state: State, line: int, place: Place, start: int) -> int:
        """From when on work that is done now cannot be in the way of other work."""
        end = start + place.left
        if place.coat is not None:
            coat = place.coat
            on = end if coat.release is None else max(end, state.held[line][coat.release])
            if coat.reads >= 0:
                on = max(on, state.air[coat.reads])
            if coat.comes_on is not None:
                on = self._rack_opens(state, line, coat.comes_on, on) or FAR
            coated = _next_bit(coat.runs[0][1], on)
            until = FAR if coat.closing is None else FAR - state.held[line][coat.closing]
            if coated is None or coated > until or self._sessions[coated] != self._sessions[start]:
                return FAR
            return self._over(state, line, coat, coated)
        skips = place.at > state.at[line] and place.writes < 0
        if place.optional or skips or self._closes(place, end - 1):
            return FAR
        if place.comes_on is not None and place.leaves is None:
            return FAR
        over = end
        if place.wipe is not None and place.wiped is not None:  # it goes with its wiping
            over += place.wiped[1] + place.wiped[2]
        if place.writes >= 0:
            over = max(over, place.busy[end - 1])
        return over if place.leaves is None else max(over, place.leaves[end - 1])

    def _closes(self, place: Place, last: int) -> bool:
        """Whether work after this has to be on sooner for it."""
        return any(closing.table[last] < closing.due for closing in place.closes)

    def _later(self, place: Place, slots: int, start: int) -> int | None:
        """The next start worth trying for work that has to be near what comes after it."""
        if place.coat is not None:
            after = self._places.session_after(start)
        elif self._closes(place, start + slots - 1):
            after = self._places.closing_later(place, start)
        else:
            return None
        return _next_bit(dict(place.runs)[slots], after)

    def _put_off(self, move: Move, later: int | None, horizon: int) -> Iterator[Move]:
        """The later starts of work, from one on."""
        while later is not None and later < horizon:
            yield move._replace(start=later)
            later = self._later(move.place, move.slots, later)

    def _after(self, state: State, move: Move) -> State | None:
        """The state once work is done; None if something then comes too late."""
        line, place, slots, start = move
        last = start + slots - 1
        promised, held = state.promised, state.held
        if place.promised:
            promised -= slots
        if slots == place.left:
            if place.coat is not None:
                promised += place.coat.left
            kept = self._held_after(held, move, last)
            if kept is None:
                return None
            held = kept
        air, lie = state.air, state.lie
        if place.writes >= 0 and place.busy[last] > air[place.writes]:
            air = _with(air, place.writes, place.busy[last])
        if promised:  # no hours, or dust in the air, may leave no time for them in this session
            free = max(last + 1, air[1]) if self._places.one_air else last + 1
            if free + promised > self._places.session_after(start):
                return None
        if place.leaves is not None:
            lie = _with(lie, line, place.leaves[last])
        elif place.comes_on is not None:
            lie = _with(lie, line, FAR)
        to = place.at + (slots if place.split else 1)
        need = state.need if place.optional else state.need - self._places.takes(line, place.at, to)
        done = Done(state.done, line, place.step, start, slots)
        return State(_with(state.at, line, to), held, air, lie, need, promised, done)

    def _held_after(
        self, held: tuple[tuple[int, ...], ...], move: Move, last: int
    ) -> tuple[tuple[int, ...], ...] | None:
        """What holds up all that is still ahead once a step is over; None if too long."""
        line, place = move.line, move.place
        own = list(held)
        own[line] = held[line][len(held[line]) - place.keeps :]
        for to, index, table, due in place.delays:
            until = table[last]
            if until > due:
                return None
            if until > own[to][index]:
                own[to] = _with(own[to], index, until)
        changed = list(own[line])
        for index in place.frees:
            changed[index] = 0
        for closing in place.closes:
            if closing.table[last] < closing.due:
                changed[closing.index] = FAR - closing.table[last]
        session_last = self._places.session_after(last) - 1
        if place.wipe is not None and place.wiped is not None:
            changed[place.wipe] = FAR - min(last + 1 + place.wiped[1], session_last)
        if place.coat is not None and place.coat.closing is not None:
            index = place.coat.closing
            changed[index] = max(changed[index], FAR - session_last)
        own[line] = tuple(changed)
        return tuple(own)

    def _urgency(self, state: State, moves: list[Move], slot: int) -> float:
        """How pressed a state is for time; less is better."""
        spare = [move.place.limit - move.start for move in moves]
        spare.append(self._places.spare(state.need, slot))
        return sum(_URGENT**-slots for slots in spare)

    def _laid_out(self, state: State) -> tuple[int, Layouts]:
        """When all is ready, and the layout."""
        slots: dict[Spot, list[int]] = {}
        done = state.done
        while done is not None:
            piece = range(done.start, done.start + done.slots)
            slots[done.line, done.step] = [*piece, *slots.get((done.line, done.step), ())]
            done = done.before
        axis, ready_s = self._lines.network.axis, self._lines.ready_s
        for spot, lags in self._lines.finals.items():
            for lag in lags:
                last = slots[spot][-1]
                at_s = axis.end_s(last) if lag.ready is None else lag.ready[last]
                ready_s = max(ready_s, at_s + lag.plus_s)
        layout = {}
        for (line, step), own in slots.items():
            task = self._lines.lines[line][step].task
            layout[task.node] = Placed(tuple(own), task.people[0])
        return ready_s, layout


def _next_bit(mask: int, first: int) -> int | None:
    """The first slot of a mask from one on."""
    rest = mask >> first
    return first + (rest & -rest).bit_length() - 1 if rest else None


def _with(row: tuple[int, ...], index: int, value: int) -> tuple[int, ...]:
    """A row with one value changed."""
    changed = list(row)
    changed[index] = value
    return tuple(changed)
