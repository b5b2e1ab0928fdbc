"""The optimiser: one search after the other, the solver beside them, never worse than the start."""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from dataclasses import dataclass, replace

from finplan.planning.binding import TOGETHER, named
from finplan.planning.bound import HOURS, Bound, lower_bound
from finplan.planning.by_all_orders import bound_of_few, try_all_orders
from finplan.planning.by_sessions import improve_by_sessions
from finplan.planning.by_several_ways import improve_by_several_ways
from finplan.planning.flat import Kept, solved_whole
from finplan.planning.forward import Found, missed_windows, rank
from finplan.planning.hours import SLOT_S
from finplan.planning.improve import improve
from finplan.planning.network import Network
from finplan.planning.rebuild import rebuilt
from finplan.planning.search_words import Effort, Job
from finplan.planning.solver import Solver
from finplan.planning.tidy import kept_together

_TICK_S, _LOOK_S = 0.1, 0.02
"""How long the solver is listened to at once, and how often it is heard while others search."""

_GRACE_S, _LEAST_S = 2.0, 0.1

_ALL_ORDERS_SHARE, _ALL_ORDERS_S = 0.15, 1.0
"""All orders are looked through for a share of the time, and for so many seconds at least."""

_ALONE_S, _WORTH_S = 0.6, 1.0
"""After so many seconds the solver works beside that, if it then has so many left: the search is
called long."""

_PASSES_AT_LAST, _PLACED_AT_LAST = 60, 10_000
"""So many passes, and steps placed in all, are for fewer sessions once the date is proved."""

_FEW_SHARE = 0.1
_ORDERS_UNTIL, _SESSIONS_UNTIL, _WAYS_UNTIL, _WAYS_UNTIL_OF_MANY = 0.1, 0.2, 0.35, 0.8
"""The shares of the time after which a search ends and the next begins; at last it is the solver's
turn."""

_MANY_NODES, _SESSIONS_UNTIL_OF_VERY_MANY = 1000, 0.95
"""With so many steps a pass takes so long that nearly all the time goes into passes: other orders,
the bound of a few loads and a few loads laid out anew found nothing."""

_PASSES_A_SECOND = 40
_PASSES_A_NODE = 2
"""Orders of the forward planner tried first: so many a second and a node, for this
share of the time."""


@dataclass(frozen=True, slots=True)
class Optimised:
    """The best layout, the best bound, whether it is proved, and a word if the search broke off.

    ``settled``: no part of the search was cut off by the clock, so that with one thread another
    search finds the same.
    """

    found: Found
    bound: Bound
    proved: bool
    note: str = ""
    settled: bool = False


def optimise(
    network: Network,
    start: Found,
    now_s: int,
    effort: Effort,
    cancelled: Callable[[], bool] = lambda: False,
) -> Optimised:
    """Improve a layout for a given time; the result is never worse.

    Args:
        network: the network.
        start: the layout to improve.
        now_s: the instant it is, seconds.
        effort: how hard to search.
        cancelled: asked ten times a second; the best so far is kept when it says yes.
    """
    bound, solver = lower_bound(network), Solver()
    search = _Search(network, start, now_s, effort, bound, solver=solver, cancelled=cancelled)
    if effort.seconds <= 0:
        return Optimised(start, bound, search.proved, settled=True)
    if not search.over():
        with solver:
            looked = search.all_orders()
            if not (search.over() or solver.busy):
                solver.start()  # it loads while other orders are tried
                search.other_orders(looked)
            if not search.over():
                search.with_the_solver()
    if search.over():
        search.fewer_sessions()
    bound = named(network, search.bound, search.best, effort.seed)
    note = "" if search.over() else solver.note
    return Optimised(search.best, bound, search.proved, note, search.settled)


class _Search:
    """What is known while one search follows the other and the solver works beside them.

    ``settled``: so far the clock has cut nothing off.
    """

    def __init__(
        self,
        network: Network,
        start: Found,
        now_s: int,
        effort: Effort,
        bound: Bound,
        *,
        solver: Solver,
        cancelled: Callable[[], bool],
    ) -> None:
        self._network, self._now_s, self._effort = network, now_s, effort
        self._solver, self._cancelled = solver, cancelled
        self._begun = self._heard_s = time.monotonic()
        self._hand_over_s = math.inf
        self.best, self.bound, self.settled = start, bound, True

    @property
    def proved(self) -> bool:
        """Whether nothing is ready sooner, in the whole quarter hours ready times count in."""
        return self._quarters(self.best.goal[0]) <= self._quarters(self.bound.ready_s)

    def over(self) -> bool:
        """Whether there is nothing to find; of several projects others may be ready sooner."""
        return self.proved and len(self._network.finals) == 1

    def all_orders(self) -> bool:
        """Look through all orders of a small network; of a large one take the bound of few loads.

        Returns:
            Whether orders of all the work were looked through.
        """
        network, seconds, bound_s = self._network, self._effort.seconds, self.bound.ready_s
        if _very_many(network, self.bound):
            return False
        if not solved_whole(network):
            going_on = self._until(_FEW_SHARE * seconds)
            most_s = self.best.goal[0]
            self._none_before(bound_of_few(network, self._now_s, bound_s, most_s, going_on))
            return False
        long = seconds >= _ALONE_S + _WORTH_S
        if self._effort.workers > 1 and long:
            self._solver.start()  # else it would only slow this down
            self._hand_over_s = self._begun + _ALONE_S
        least_s = min(_ALL_ORDERS_S, seconds)
        going_on = self._until(max(_ALL_ORDERS_SHARE * seconds, least_s))
        kept = kept_of(network, self.best)
        tried = try_all_orders(
            network, self.best, self._now_s, kept, bound_s, going_on, long=long, tell=self._found
        )
        self._none_before(tried.bound_s)
        return tried.looked

    def other_orders(self, looked: bool) -> None:
        """Lay the network out in other orders, for a share of the time.

        Args:
            looked: whether all orders were looked through, at least in part.
        """
        network, bound, seed = self._network, self.bound, self._effort.seed
        spent_s = time.monotonic() - self._begun
        seconds = max(_LEAST_S, self._effort.seconds - spent_s)
        passes = min(int(_PASSES_A_SECOND * seconds), _PASSES_A_NODE * len(network.nodes))
        very_many = _very_many(network, bound)

        def until(share: float) -> Callable[[], bool]:
            return self._until(spent_s + share * seconds)

        going_on = until(0.0 if very_many else _ORDERS_UNTIL)
        self._found(improve(network, self.best, bound, passes, seed, going_on))
        going_on = until(_SESSIONS_UNTIL_OF_VERY_MANY if very_many else _SESSIONS_UNTIL)
        self._found(improve_by_sessions(network, self.best, bound, passes, seed, going_on))
        if not (looked or very_many):
            going_on = until(_WAYS_UNTIL if solved_whole(network) else _WAYS_UNTIL_OF_MANY)
            self._found(improve_by_several_ways(network, self.best, bound, seed, going_on))

    def with_the_solver(self) -> None:
        """Listen to the solver until it is done, time is over or somebody cancels."""
        solver, until = self._solver, self._begun + self._effort.seconds
        while not (solver.handed or solver.note or self._cut_off(until)):
            if solver.ready(_TICK_S):
                self._hand_over()
        while solver.busy and not self._cut_off(until + _GRACE_S):
            self._hear(_TICK_S)
        self.settled = self.settled and solver.settled

    def fewer_sessions(self) -> None:
        """Look for a layout that is ready as soon and takes fewer sessions."""
        if not any(chain.blocks for chain in self._network.chains):
            return  # all is done
        until, sooner = self._begun + self._effort.seconds, Bound(self.best.goal[0] - 1, "")
        passes = max(1, min(_PASSES_AT_LAST, _PLACED_AT_LAST // len(self._network.nodes)))
        self._found(
            improve_by_sessions(
                self._network,
                self.best,
                sooner,
                passes,
                self._effort.seed,
                lambda: not self._cut_off(until),
            )
        )

    def _cut_off(self, until: float) -> bool:
        """Whether time is over, or somebody cancels, in the midst of a search."""
        cut_off = time.monotonic() >= until or self._cancelled()
        self.settled = self.settled and not cut_off
        return cut_off

    def _until(self, seconds: float) -> Callable[[], bool]:
        """Whether a search that ends so long after the beginning may go on."""
        until = self._begun + seconds

        def going_on() -> bool:
            now = time.monotonic()
            if now >= self._heard_s + _LOOK_S:
                self._heard_s = now
                if now >= self._hand_over_s and not self._solver.handed and self._solver.ready():
                    self._hand_over()
                self._hear(0.0)
            return not (self._cut_off(until) or self.over())

        return going_on

    def _hand_over(self) -> None:
        left_s = self._begun + self._effort.seconds - time.monotonic()
        effort = replace(self._effort, seconds=max(_LEAST_S, left_s))
        kept, placed = kept_of(self._network, self.best), self.best.layout.placed
        most_s = self.best.goal[0]
        self._solver.hand(Job(self._network, self._now_s, placed, most_s, effort, kept))

    def _hear(self, wait_s: float) -> None:
        for word in self._solver.words(wait_s):
            if word.layout is not None:
                self._found(rebuilt(self._network, word.layout))
            elif not word.closed:
                # Ready times are rounded up in the model: its bound is good to a quarter less.
                self._none_before(self._now_s + (word.bound_quarters - 1) * SLOT_S + 1)

    def _found(self, found: Found) -> None:
        if rank(self._network, found) < rank(self._network, self.best):
            self.best = found

    def _none_before(self, bound_s: int) -> None:
        if bound_s > self.bound.ready_s:
            self.bound = Bound(min(bound_s, self.best.goal[0]), TOGETHER)

    def _quarters(self, at_s: int) -> int:
        return -(-(at_s - self._now_s) // SLOT_S)


def _very_many(network: Network, bound: Bound) -> bool:
    """Whether there is so much work that its hours bind, and other searches find nothing."""
    return bound.by == HOURS and len(network.nodes) > _MANY_NODES


def kept_of(network: Network, found: Found) -> Kept:
    """What a layout keeps to, and every better one has to."""
    return Kept(
        kept_wishes(network, found), missed_windows(network, found), kept_together(network, found)
    )


def kept_wishes(network: Network, found: Found) -> dict[int, int]:
    """The first slots of the work a layout has where somebody wished it."""
    return {
        index: place.slots[0]
        for index, place in found.layout.placed.items()
        if (wish_s := network.nodes[index].wish_s) is not None
        and abs(network.axis.starts[place.slots[0]] - wish_s) < SLOT_S
    }
