"""A layout bettered, and proved the best, by looking through the orders of all the work."""

from __future__ import annotations

import gc
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace

from finplan.planning.all_orders import URGENT, AllOrders, Outcome
from finplan.planning.bound import alone, most_urgent
from finplan.planning.flat import Kept, Tasks, flatten
from finplan.planning.forward import Found, rank
from finplan.planning.hours import SLOT_S
from finplan.planning.lines import Known, Lines, lines_of
from finplan.planning.network import Network
from finplan.planning.places import ANY_GAP
from finplan.planning.rebuild import rebuilt
from finplan.planning.shop import Shop
from finplan.planning.tidy import keeps_all, kept_together

_AIM, _AIMS = 0.25, (0.0, 0.5)
"""A search aims at that share of the way from the bound to the layout to better: the first, and
others of long ones. An earlier aim leads to better layouts."""

_OTHERWISE = 1.4, 1.05, 1.2
"""How much more work with less time to spare counts in those others."""

_NARROW, _WIDER, _WIDE, _WIDEST = 5, 20, 40, 150
"""States kept a slot in the searches that are to find a good layout soon."""

_FEW, _MORE, _MANY, _STATES = 2_500, 6_000, 30_000, 80_000
"""States looked at by the most: for a quick proof, for those between, and else (some 200 MB)."""

_NEAR_S = 86_400
"""A layout that near its bound is proved, or bettered, by looking through all orders at once."""

_PIECES = 60, 95, 130, 170
"""Pieces of work of the most urgent loads that a bound is taken from, one after the other."""

_LEAST_STEP_S = 6 * 3600


@dataclass(frozen=True, slots=True)
class Tried:
    """The best layout, an instant before which none is ready, and whether there is none better.

    ``looked``: orders of all the work were looked through.
    """

    found: Found
    bound_s: int
    proved: bool
    looked: bool = False


@dataclass(frozen=True, slots=True)
class _Way:
    """A search: the lines, the states it keeps and looks at, and what share of the way it aims at.

    ``only_far``: it is done once, and only for a layout that is not near its bound.
    """

    lines: Lines
    width: int | None
    most_states: int
    only_far: bool = False
    aim: float = 1.0
    urgent: float = URGENT

    def orders(self, ready_s: int, before: AllOrders | None) -> AllOrders:
        """A search for layouts ready by an instant; the one before, if it only has to go on."""
        known = before if self.width is None else None
        if known is not None and known.lines is self.lines and known.ready_s == ready_s:
            return known
        return AllOrders(self.lines, ready_s, self.width, self.urgent)


@contextmanager
def _no_collecting() -> Iterator[None]:
    """Let no garbage be looked for: states hold no circles, and it takes a sixth of the time."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


@_no_collecting()
def try_all_orders(
    network: Network,
    start: Found,
    now_s: int,
    kept: Kept,
    bound_s: int,
    going_on: Callable[[], bool],
    *,
    long: bool = True,
    tell: Callable[[Found], None] = lambda _: None,
) -> Tried:
    """Look through all orders, first few and then more of them, for a layout ready sooner.

    Ready times count in whole quarter hours, as they do for the solver.

    Args:
        network: the network.
        start: the layout to better.
        now_s: the instant quarter hours are counted from.
        kept: what the layout keeps to, and every better one has to.
        bound_s: an instant before which nothing is ready.
        going_on: asked again and again; whether there is time.
        long: whether there is time for more searches with few states, which find a good layout by
            chance where a proof would take long.
        tell: takes every better layout as it is found.
    """
    tasks = flatten(network, alone(network), start.goal[0], now_s, kept=kept)
    ways = () if tasks is None else _ways(tasks, long)
    tried = Tried(start, bound_s, proved=False, looked=bool(ways))
    proof: AllOrders | None = None
    for way in ways:
        if way.only_far and tried.found.goal[0] - tried.bound_s <= _NEAR_S:
            continue
        better: Found | None = start
        while better is not None:
            target_s = now_s + (-(-(tried.found.goal[0] - now_s) // SLOT_S) - 1) * SLOT_S
            if target_s < tried.bound_s:
                return replace(tried, proved=True)
            aim_s = tried.bound_s + int(way.aim * (target_s - tried.bound_s))
            orders = way.orders(aim_s, proof)
            proof = orders if way.width is None else proof
            outcome = orders.search(way.most_states, going_on)
            better = _better(network, outcome, tried.found, kept)
            if better is not None:
                tried = replace(tried, found=better)
                tell(better)
            elif outcome.whole and outcome.layout is None:
                tried = replace(tried, bound_s=aim_s + 1, proved=aim_s == target_s)
            if tried.proved or not going_on():
                return tried
            if way.only_far:
                break
    return tried


def _ways(tasks: Tasks, long: bool) -> tuple[_Way, ...]:
    """The searches, one after the other; none where it is not all one person's work."""
    known: Known = {}
    lines, whole = lines_of(tasks, known), lines_of(_wiped_at_any_time(tasks), known)
    easier = lines_of(_without_windows(tasks), known)
    if lines is None or whole is None or easier is None:
        return ()
    first = _Way(lines, _NARROW, _STATES, aim=0.0)
    others = (
        _Way(lines, _NARROW, _STATES, aim=aim, urgent=urgent)
        for aim in _AIMS
        for urgent in _OTHERWISE
    )
    return (
        *((first,) if long else ()),
        _Way(lines, _NARROW, _STATES, aim=_AIM),
        _Way(lines, _NARROW, _STATES),
        _Way(easier, None, _FEW),
        *(others if long else ()),
        _Way(lines, _WIDER, _STATES),
        _Way(easier, None, _MORE),
        _Way(lines, _WIDE, _STATES, only_far=True),
        _Way(whole, None, _MANY),
        _Way(lines, _WIDEST, _STATES, only_far=True),
        _Way(lines, None, _STATES),
    )


def _wiped_at_any_time(tasks: Tasks) -> Tasks:
    """The work with coats wiped when there is time: what cannot be so cannot be at all.

    It is sooner looked through, and mostly ready no sooner.
    """
    return replace(
        tasks,
        tasks=tuple(
            task if task.glued is None else replace(task, glued=(task.glued[0], ANY_GAP))
            for task in tasks.tasks
        ),
    )


def _without_windows(tasks: Tasks) -> Tasks:
    """The work without windows that close: sooner looked through, and mostly ready no sooner."""
    return replace(_wiped_at_any_time(tasks), windows=())


def _eased(tasks: Tasks) -> Tasks:
    """Nor with what comes in only for a missed window, and what has to be fresh.

    It is much sooner looked through still.
    """
    easier = _without_windows(tasks)
    must = tuple(task for task in easier.tasks if not task.optional)
    return replace(easier, tasks=must, together=())


def _better(network: Network, outcome: Outcome, best: Found, kept: Kept) -> Found | None:
    """The layout of a search, if it holds and is better."""
    if outcome.layout is None:
        return None
    found = rebuilt(network, outcome.layout)
    apart = set(kept.together) - set(kept_together(network, found))
    better = rank(network, found) < rank(network, best)
    return found if better and not apart and keeps_all(network, found) else None


@_no_collecting()
def bound_of_few(
    network: Network, now_s: int, bound_s: int, most_s: int, going_on: Callable[[], bool]
) -> int:
    """An instant before which nothing is ready, from the most urgent loads with no other there.

    Leaving loads out can only make a plan sooner, and dust, wet surfaces and the rack count for
    those that stay. The instant is put off in growing steps as long as that is proved impossible.

    Args:
        network: the network.
        now_s: the instant ready times are counted from.
        bound_s: an instant known to be one.
        most_s: when a known layout is ready.
        going_on: asked again and again; whether there is time.
    """
    early, before = alone(network), frozenset[int]()
    for at_most in _PIECES:
        few = most_urgent(network, early, at_most)
        shop = Shop(network)
        tasks = flatten(network, early, most_s, now_s, kept=Kept(), shop=shop, free=few)
        lines = lines_of(_eased(tasks)) if tasks is not None and few - before else None
        step_s = _LEAST_STEP_S
        while lines is not None and step_s >= _LEAST_STEP_S and going_on():
            target_s = min(bound_s - 1 + step_s, most_s - 1)
            outcome = AllOrders(lines, target_s).search(_MANY, going_on)
            impossible = outcome.whole and outcome.layout is None
            if impossible:
                bound_s = target_s + 1
            step_s = step_s * 2 if impossible and bound_s < most_s else step_s // 4
        before = few
    return bound_s
