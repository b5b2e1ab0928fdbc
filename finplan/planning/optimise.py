"""The optimiser: a constraint solver in a child process, never worse than what it is given."""

from __future__ import annotations

import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, replace
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess

from finplan.planning.aside import load_solver, start_aside
from finplan.planning.binding import TOGETHER, named
from finplan.planning.bound import HOURS, Bound, lower_bound
from finplan.planning.by_all_orders import Tried, bound_of_few, try_all_orders
from finplan.planning.by_sessions import improve_by_sessions
from finplan.planning.by_several_ways import improve_by_several_ways
from finplan.planning.flat import Kept, solved_whole
from finplan.planning.forward import Found, missed_windows, rank
from finplan.planning.hours import SLOT_S
from finplan.planning.improve import improve
from finplan.planning.network import Network
from finplan.planning.rebuild import rebuilt
from finplan.planning.search_words import Effort, Job, Word
from finplan.planning.tidy import kept_together

_TICK_S = 0.1
_GRACE_S = 2.0
_ALL_ORDERS_SHARE, _ALL_ORDERS_S, _MOST_SHARE = 0.15, 1.0, 0.95
"""All orders are looked through for a share of the time; so many seconds if that is less, unless
it is most of it."""
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
    begun = time.monotonic()
    bound = lower_bound(network)
    if bound.ends_search(network, start.goal[0]) or effort.seconds <= 0:
        return Optimised(start, bound, start.goal[0] <= bound.ready_s, settled=True)
    with _Solver() as solver:  # it loads while the orders are tried
        until = begun + _FEW_SHARE * effort.seconds
        if solved_whole(network):
            least_s = min(_ALL_ORDERS_S, _MOST_SHARE * effort.seconds)
            until = begun + max(_ALL_ORDERS_SHARE * effort.seconds, least_s)
        tried = _all_orders(
            network, start, now_s, bound, lambda: time.monotonic() < until and not cancelled()
        )
        if tried.bound_s > bound.ready_s:
            bound = Bound(min(tried.bound_s, tried.found.goal[0]), TOGETHER)
        if tried.proved and len(network.finals) == 1:  # else more projects may be ready sooner
            bound = named(network, bound, tried.found, effort.seed)
            return Optimised(tried.found, bound, proved=True, settled=tried.settled)
        start, settled = tried.found, tried.settled
        if not tried.proved or len(network.finals) > 1:
            left = _left(effort, begun)
            start, whole = _other_orders(network, tried, bound, left, cancelled)
            settled = settled and whole
        if bound.ends_search(network, start.goal[0]):
            return Optimised(start, bound, proved=True, settled=settled)
        kept = kept_of(network, start)
        left = _left(effort, begun)
        job = Job(network, now_s, start.layout.placed, start.goal[0], left, kept)
        search = _Search(job, start, bound, tried.proved or start.goal[0] <= bound.ready_s)
        search.run(solver, cancelled)
    bound = named(network, search.bound, search.best, effort.seed)
    settled = settled and search.settled
    return Optimised(search.best, bound, search.proved, search.note, settled)


def _left(effort: Effort, begun: float) -> Effort:
    """What is left of an effort."""
    return replace(effort, seconds=max(0.1, effort.seconds - (time.monotonic() - begun)))


def _other_orders(
    network: Network,
    tried: Tried,
    bound: Bound,
    effort: Effort,
    cancelled: Callable[[], bool],
) -> tuple[Found, bool]:
    """The best layout of the forward planner in other orders, for a share of the time.

    Returns:
        The layout, and whether the clock cut nothing off.
    """
    seed, seconds, begun = effort.seed, effort.seconds, time.monotonic()
    passes = min(int(_PASSES_A_SECOND * seconds), _PASSES_A_NODE * len(network.nodes))
    very_many = _very_many(network, bound)

    def before(share: float) -> Callable[[], bool]:
        until = begun + share * seconds
        return lambda: time.monotonic() < until and not cancelled()

    going_on = before(0.0 if very_many else _ORDERS_UNTIL)
    start = improve(network, tried.found, bound, passes, seed, going_on)
    settled = going_on()
    going_on = before(_SESSIONS_UNTIL_OF_VERY_MANY if very_many else _SESSIONS_UNTIL)
    start = improve_by_sessions(network, start, bound, passes, seed, going_on)
    settled = settled and going_on()
    if not (tried.looked or very_many):
        going_on = before(_WAYS_UNTIL if solved_whole(network) else _WAYS_UNTIL_OF_MANY)
        start = improve_by_several_ways(network, start, bound, seed, going_on)
        settled = settled and going_on()
    return start, settled


def _very_many(network: Network, bound: Bound) -> bool:
    """Whether there is so much work that its hours bind, and other searches find nothing."""
    return bound.by == HOURS and len(network.nodes) > _MANY_NODES


def _all_orders(
    network: Network, start: Found, now_s: int, bound: Bound, going_on: Callable[[], bool]
) -> Tried:
    """The best layout of all orders of a small network; of a large one the bound of few loads."""
    if _very_many(network, bound):
        return Tried(start, bound.ready_s, proved=False, settled=True)
    if not solved_whole(network):
        bound_s = bound_of_few(network, now_s, bound.ready_s, start.goal[0], going_on)
        return Tried(start, bound_s, proved=start.goal[0] <= bound_s, settled=going_on())
    kept = kept_of(network, start)
    return try_all_orders(network, start, now_s, kept, bound.ready_s, going_on)


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


class _Solver:
    """The child process and our end of the line to it; it ends with the block it serves.

    ``line`` is None where no process is to be had.
    """

    def __init__(self) -> None:
        self._child: BaseProcess | None = None
        self.line: Connection | None = None

    def __enter__(self) -> _Solver:
        """Start the child, which loads the solver and waits for a job."""
        with suppress(OSError):
            self._child, self.line = start_aside(_child)
        return self

    def __exit__(self, *_: object) -> None:
        """End the child, whatever it is doing."""
        if self._child is not None and self.line is not None:
            self._child.kill()
            self._child.join()
            self.line.close()


class _Search:
    """Listens to the child and keeps the best."""

    def __init__(self, job: Job, start: Found, bound: Bound, proved: bool) -> None:
        self._job = job
        self.best = start
        self.bound = bound
        self.proved = proved
        self.settled = False
        self.note = ""

    def run(self, solver: _Solver, cancelled: Callable[[], bool]) -> None:
        """Hand the job over and listen until it is done, time is over or somebody cancels."""
        if solver.line is None:
            self.note = "no process could be started to search; the best plan so far is kept"
            return
        until = time.monotonic() + self._job.effort.seconds + _GRACE_S
        try:
            solver.line.send(self._job)
            while time.monotonic() < until and not cancelled():
                if solver.line.poll(_TICK_S) and self._heard(solver.line):
                    break
        except (EOFError, ConnectionError):
            self.note = "the search broke off early; the best plan so far is kept"

    def _heard(self, ours: Connection) -> bool:
        """Take in one word of the child; whether it was the last."""
        word: Word = ours.recv()
        if word.layout is not None:
            found = rebuilt(self._job.network, word.layout)
            if rank(self._job.network, found) < rank(self._job.network, self.best):
                self.best = found
        elif word.closed:
            self.settled = word.settled
        else:
            self._bound_heard(word)
        return word.closed

    def _bound_heard(self, word: Word) -> None:
        # Ready times are rounded up to quarter hours in the model: the bound is good to one less.
        bound_s = self._job.now_s + (word.bound_quarters - 1) * SLOT_S + 1
        best_quarters = -(-(self.best.goal[0] - self._job.now_s) // SLOT_S)
        if word.proved or best_quarters <= word.bound_quarters:
            self.proved = True
        if bound_s > self.bound.ready_s:
            self.bound = Bound(min(bound_s, self.best.goal[0]), TOGETHER)


def _child(theirs: Connection) -> None:
    load_solver()
    from finplan.planning.solve import solve

    solve(theirs.recv(), theirs.send)
