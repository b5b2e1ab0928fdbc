"""Every order of one person's work, slot by slot, but for those that cannot be better."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from finplan.planning.lines import Lines, Spot
from finplan.planning.network import Placed
from finplan.planning.order_moves import Move, Moves
from finplan.planning.order_states import Ahead, Done, State
from finplan.planning.places import Places
from finplan.planning.rows import number_at
from finplan.planning.search_words import Layouts

URGENT = 1.1
"""Where not all states are kept, work with a slot less to spare counts so many times more."""


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


class AllOrders:
    """A search over all orders in which all can be ready by an instant.

    In a state the work of some lines is done, and the person is free from a slot on. Whatever is
    done next is put at its first hour, or later only where a window or a session asks for it.
    """

    def __init__(
        self, lines: Lines, ready_s: int, width: int | None = None, urgent: float = URGENT
    ) -> None:
        """Set up a search.

        Args:
            lines: the work.
            ready_s: the instant layouts are to be ready by.
            width: the most states kept of those in which the person is free at the same slot; None
                for all of them.
            urgent: where not all states are kept: work with a slot less to spare counts so many
                times more.
        """
        self.lines, self.ready_s, self._width, self._urgent = lines, ready_s, width, urgent
        self._best: tuple[int, Layouts | None] = ready_s + 1, None
        self._states = 0
        self._places = places = Places(lines, ready_s)
        self._end = tuple(map(len, places.rows))
        if places.possible:
            self._ahead = Ahead(places.held_rows)
            self._moves = Moves(lines, places, every=width is None)
            at = tuple(0 for _ in self._end)
            self._ahead.add(0, State(at, places.held, places.need, 0, None))

    def search(self, most_states: int, going_on: Callable[[], bool] = lambda: True) -> Outcome:
        """Look through the orders, or go on with it.

        Args:
            most_states: after so many, in all, the search stops.
            going_on: asked at every slot.
        """
        if not self._places.possible:
            return Outcome(True, None, 0, 0)
        width = self._width
        while self._ahead and self._states <= most_states and going_on():
            slot, group = self._ahead.next()
            self._states += len(group)
            live = self._live(slot, group)
            if width is not None and len(live) > width:
                live.sort(key=lambda one: self._urgency(one[0], one[1], slot))
            for state, moves in live[:width]:
                for move in moves:
                    self._go_on(state, move)
        whole = width is None and not self._ahead
        return Outcome(whole, self._best[1], self._best[0], self._states)

    def _live(self, slot: int, group: list[State]) -> list[tuple[State, list[Move]]]:
        """The states at a slot that can be in time, with what may be done next."""
        live = []
        for state in group:
            if self._ahead.is_new(state, slot):
                self._ahead.see(state)
                moves = self._moves.of(state, slot)
                if moves is not None:
                    live.append((state, moves))
        return live

    def _go_on(self, state: State, move: Move) -> None:
        """Take in the state after a move, unless something then comes too late."""
        effect = self._moves.effect(move)
        if effect is None:
            return
        line, place, slots, start = move
        at = (*state.at[:line], effect.to, *state.at[line + 1 :])
        end, need = start + slots, state.need - effect.takes
        if at != self._end and not self._places.in_time(need, end):
            return
        rows, promised = self._places.held_rows, state.promised + effect.promised
        held = rows.over(rows.greater(state.held & effect.past, effect.held), end)
        if promised:  # no hours, or dust in the air, may leave no time for them in this session
            dusty = 0 if self._places.one_air is None else number_at(held, self._places.one_air)
            if max(end, dusty) + promised > self._places.session_after(start):
                return
        new = State(at, held, need, promised, Done(state.done, line, place.step, start, slots))
        if at == self._end:
            self._best = min(self._best, self._laid_out(new), key=lambda one: one[0])
        else:
            self._ahead.add(end, new)

    def _urgency(self, state: State, moves: list[Move], slot: int) -> float:
        """How pressed a state is for time; less is better."""
        spare = [move.place.limit - move.start for move in moves]
        spare.append(self._places.spare(state.need, slot))
        return sum(self._urgent**-slots for slots in spare)

    def _laid_out(self, state: State) -> tuple[int, Layouts]:
        """When all is ready, and the layout."""
        slots: dict[Spot, list[int]] = {}
        done = state.done
        while done is not None:
            piece = range(done.start, done.start + done.slots)
            slots[done.line, done.step] = [*piece, *slots.get((done.line, done.step), ())]
            done = done.before
        axis, ready_s = self.lines.network.axis, self.lines.ready_s
        for spot, lags in self.lines.finals.items():
            for lag in lags:
                last = slots[spot][-1]
                at_s = axis.end_s(last) if lag.ready is None else lag.ready[last]
                ready_s = max(ready_s, at_s + lag.plus_s)
        layout = {}
        for (line, step), own in slots.items():
            task = self.lines.lines[line][step].task
            layout[task.node] = Placed(tuple(own), task.people[0])
        return ready_s, layout
