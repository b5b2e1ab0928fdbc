"""What may be done next in a state of the shop, and what it does to the state."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Literal, NamedTuple

from finplan.planning.lines import Lines
from finplan.planning.order_states import State
from finplan.planning.place_nodes import first_of
from finplan.planning.places import Place, Places
from finplan.planning.rows import FAR, ONE, number_at


class Move(NamedTuple):
    """Work that may be done next."""

    line: int
    place: Place
    slots: int
    start: int


class PutOff:
    """The later starts worth trying of work, made as they are asked for."""

    def __init__(self, later: Callable[[Move], Move | None], move: Move, deadline: int) -> None:
        self._later, self._deadline = later, deadline
        self._made: list[Move] = []
        self._next = self._after(move)

    def before(self, horizon: int) -> list[Move]:
        """Those before a slot."""
        while self._next is not None and self._next.start < horizon:
            self._made.append(self._next)
            self._next = self._after(self._next)
        return [move for move in self._made if move.start < horizon]

    def _after(self, move: Move) -> Move | None:
        later = self._later(move)
        return None if later is None or later.start > self._deadline else later


class Options(NamedTuple):
    """What a line may go on with.

    ``late``: it cannot be in time any more. ``over``: from when on the first of them is in nobody's
    way. ``put_off``: work that may be better begun later.
    """

    late: bool
    moves: list[Move]
    over: int
    put_off: list[PutOff]


class Effect(NamedTuple):
    """What work does to a state.

    ``to``: how far its line then is. ``past``: the part of what holds up work that still counts;
    ``held``: a row of what it holds up itself. ``takes``: a row of the slots it does, by deadline.
    ``promised``: slots of coats it promises for this session, less those it is.
    """

    to: int
    past: int
    held: int
    takes: int
    promised: int


class Moves:
    """The moves of a search in which all is to be ready by an instant.

    ``every``: coats that have to be wiped soon are put off, too, which is seldom better.
    """

    def __init__(self, lines: Lines, places: Places, *, every: bool) -> None:
        self._lines, self._places, self._every = lines, places, every
        self._sessions = lines.network.axis.sessions
        self._asked = [
            list(zip(needs, asks, strict=True))
            for needs, asks in zip(places.needs, places.asks, strict=True)
        ]
        self._slot = -1
        self._options: dict[tuple[int, int, int], Options] = {}
        self._effects: dict[tuple[int, int, int, int], Effect | Literal[False] | None] = {}

    def of(self, state: State, slot: int) -> list[Move] | None:
        """What may be done next from a slot on; None if something can no longer be in time.

        Whatever starts only when other work could be over, with its dust settled or its coat
        dust-free, may wait until that is done.
        """
        if slot != self._slot:
            self._slot = slot
            self._options.clear()
        each, horizon, done, held = [], FAR, state.at, state.held
        for line, (at, row) in enumerate(zip(done, self._asked, strict=True)):
            needs, asks = row[at]
            if needs is None or (needs and any(done[other] < until for other, until in needs)):
                continue
            key = line, at, held & asks
            options = self._options.get(key)
            if options is None:
                options = self._options[key] = self._options_of(line, at, held)
            if options.late:
                return None
            each.append(options)
            if options.over < horizon:
                horizon = options.over
        kept = []
        for options in each:
            for move in options.moves:
                if move.start < horizon:
                    kept.append(move)
            for put_off in options.put_off:
                kept.extend(put_off.before(horizon))
        return kept

    def effect(self, move: Move) -> Effect | None:
        """What a move does; None if something then comes too late."""
        key = move.line, move.place.at, move.slots, move.start
        effect = self._effects.get(key, False)
        if effect is False:
            effect = self._effects[key] = self._effect(move)
        return effect

    def _options_of(self, line: int, at: int, held: int) -> Options:
        late, over, moves, put_off = True, FAR, list[Move](), list[PutOff]()
        for place in self._places.choices[line][at]:
            first, deadline = self._first(held, place), place.limit
            if place.closing is not None:
                deadline = min(deadline, FAR - number_at(held, place.closing))
            for slots, mask in place.runs.items():
                start = first_of(mask, first)
                if start is None or start > deadline:
                    continue
                late = False
                if place.comes_on is not None:
                    opens = self._rack_opens(held, place, start)
                    start = None if opens is None else first_of(mask, opens)
                    if start is None or start > deadline:
                        continue
                move = Move(line, place, slots, start)
                moves.append(move)
                if slots == place.left:
                    over = min(over, self._over(at, held, place, start))
                wiped = self._every and place.wipe is not None
                if wiped or place.coat is not None or self._closes(place, start + slots - 1):
                    put_off.append(PutOff(self._later, move, deadline))
        return Options(late, moves, over, put_off)

    def _rack_opens(self, held: int, place: Place, slot: int) -> int | None:
        """The first slot from one on in which the rack has room; None while others must move."""
        rack = self._lines.racks[place.comes_on or 0]
        there = [(until, area) for area, until in rack.fixed]
        there += [
            (number_at(held, lies), rack.areas[other])
            for other, lies in enumerate(self._places.lies)
            if other != place.line
        ]
        there = [(until, area) for until, area in there if until > slot]
        area, room = sum(own for _, own in there), rack.room_m2 - rack.areas[place.line]
        for until, own in sorted(there):
            if area <= room:
                break
            if until >= FAR:
                return None
            area, slot = area - own, until
        return slot if area <= room else None

    def _from(self, held: int, place: Place, slot: int) -> int:
        """The first slot from one on that a place's waits and air allow."""
        if place.release is not None:
            slot = max(slot, number_at(held, place.release))
        return slot if place.reads is None else max(slot, number_at(held, place.reads))

    def _first(self, held: int, place: Place) -> int:
        """The first slot a place's work may start in."""
        first = self._from(held, place, self._slot)
        if place.coat is not None:
            coated = first_of(place.coat.mask, self._from(held, place.coat, first))
            if coated is not None:
                first = max(first, self._sessions[coated])
        return first

    def _over(self, at: int, held: int, place: Place, start: int) -> int:
        """From when on work that is done now cannot be in the way of other work."""
        end = start + place.left
        if place.coat is not None:
            coat = place.coat
            on = self._from(held, coat, end)
            if coat.comes_on is not None:
                on = self._rack_opens(held, coat, on) or FAR
            coated = first_of(coat.mask, on)
            until = FAR if coat.closing is None else FAR - number_at(held, coat.closing)
            if coated is None or coated > until or self._sessions[coated] != self._sessions[start]:
                return FAR
            return self._over(at, held, coat, coated)
        skips = place.at > at and place.writes is None
        if place.optional or skips or self._closes(place, end - 1):
            return FAR
        if place.comes_on is not None and place.leaves is None:
            return FAR
        over = end
        if place.wipe is not None and place.wiped is not None:  # it goes with its wiping
            over += place.wiped[1] + place.wiped[2]
        if place.writes is not None:
            over = max(over, place.busy[end - 1])
        return over if place.leaves is None else max(over, place.leaves[end - 1])

    def _closes(self, place: Place, last: int) -> bool:
        """Whether work after this has to be on sooner for it."""
        return any(closing.table[last] < closing.due for closing in place.closes)

    def _later(self, move: Move) -> Move | None:
        """The next start worth trying for work that has to be near what comes after it."""
        line, place, slots, start = move
        if place.coat is not None:
            after = self._places.session_after(start)
        elif self._every and place.wipe is not None:
            after = start + 1
        elif self._closes(place, start + slots - 1):
            after = self._places.closing_later(place, start)
        else:
            return None
        later = first_of(place.runs[slots], after)
        return None if later is None else Move(line, place, slots, later)

    def _effect(self, move: Move) -> Effect | None:
        _, place, slots, start = move
        last, past, held = start + slots - 1, -1, dict[int, int]()
        promised = -slots if place.promised else 0
        if place.writes is not None:
            held[place.writes] = place.busy[last]
        if place.leaves is not None:
            past, held[place.lies] = past & ~(ONE << place.lies), place.leaves[last]
        elif place.comes_on is not None:
            held[place.lies] = FAR
        if slots == place.left:
            past &= place.past
            promised += 0 if place.coat is None else place.coat.left
            for shift, table, due in place.delays:
                if table[last] > due:
                    return None
                held[shift] = max(held.get(shift, 0), table[last])
            for shift, until in self._closed(place, last):
                past, held[shift] = past & ~(ONE << shift), FAR - until
            if place.coat is not None and place.coat.closing is not None:
                shift = place.coat.closing
                session_last = self._places.session_after(last) - 1
                held[shift] = max(held.get(shift, 0), FAR - session_last)
        to = place.at + (slots if place.split else 1)
        takes = 0 if place.optional else self._places.takes(place.line, place.at, to)
        row = sum(number << shift for shift, number in held.items())
        return Effect(to, past, row, takes, promised)

    def _closed(self, place: Place, last: int) -> Iterator[tuple[int, int]]:
        """Where it is kept until when the work after this has to start, and until when."""
        for closing in place.closes:
            if closing.table[last] < closing.due:
                yield closing.kept, closing.table[last]
        if place.wipe is not None and place.wiped is not None:
            until = last + 1 + place.wiped[1]
            yield place.wipe, min(until, self._places.session_after(last) - 1)
