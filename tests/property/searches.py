"""Every way the program looks for a plan, tried on one network, with all that each one claims."""

from __future__ import annotations

from dataclasses import dataclass, field

from finplan.planning.bound import lower_bound
from finplan.planning.by_all_orders import bound_of_few, try_all_orders
from finplan.planning.by_sessions import improve_by_sessions
from finplan.planning.by_several_ways import improve_by_several_ways
from finplan.planning.flat import Kept
from finplan.planning.forward import Found, forward, missed_windows, rank
from finplan.planning.hours import SLOT_S
from finplan.planning.improve import improve
from finplan.planning.neighbours import better_by_pieces
from finplan.planning.optimise import kept_of, kept_wishes
from finplan.planning.rebuild import rebuilt
from finplan.planning.search_words import Effort, Job
from finplan.planning.shop import Stuck
from finplan.planning.solve import solve
from finplan.planning.tidy import kept_together, loosened, tidy


@dataclass
class Claims:
    """What all searches of a network say.

    ``layouts``: by search, what it found. ``never_before``: by search, an instant before which it
    says nothing is ready; ``proved``: by search, the quarter hour it says is the earliest. Both
    speak of layouts that keep what the first one keeps (``kept``).
    """

    kept: Kept
    now_s: int
    layouts: dict[str, Found] = field(default_factory=dict)
    never_before: dict[str, int] = field(default_factory=dict)
    proved: dict[str, int] = field(default_factory=dict)

    def quarters(self, ready_s: int) -> int:
        """Ready times are compared in quarter hours from now, rounded up."""
        return -(-(ready_s - self.now_s) // SLOT_S)


def keeps(network, found, kept):
    """Whether a layout keeps wishes, windows and fresh work as another does."""
    wishes = kept_wishes(network, found)
    return (
        all(wishes.get(node) == slot for node, slot in kept.pinned.items())
        and missed_windows(network, found) <= kept.missed
        and set(kept.together) <= set(kept_together(network, found))
    )


def searched(network, now_s, *, seconds=3.0, seed=0, passes=30):
    """Look for a plan in every way there is; None where the forward planner is stuck."""
    try:
        start = tidy(network, forward(network, seed))
    except Stuck:
        return None
    network = loosened(network, start)
    path = lower_bound(network)
    claims = Claims(kept_of(network, start), now_s)
    claims.layouts["forward"] = start
    claims.never_before["path and hours"] = path.ready_s
    claims.layouts["other orders"] = improve(network, start, path, passes, seed, lambda: True)
    by_sessions = improve_by_sessions(network, start, path, passes, seed, lambda: True)
    claims.layouts["sessions"] = by_sessions
    goes_on = iter(range(2000))
    claims.layouts["sessions in several ways"] = improve_by_several_ways(
        network, start, path, seed, lambda: next(goes_on, None) is not None
    )
    looks = iter(range(3000))
    tried = try_all_orders(
        network, start, now_s, claims.kept, path.ready_s, lambda: next(looks, None) is not None
    )
    claims.layouts["all orders"] = tried.found
    claims.never_before["all orders"] = tried.bound_s
    if tried.proved:
        claims.proved["all orders"] = claims.quarters(tried.found.goal[0])
    looks_at_few = iter(range(1000))
    claims.never_before["all orders of few"] = bound_of_few(
        network,
        now_s,
        path.ready_s,
        start.goal[0],
        lambda: next(looks_at_few, None) is not None,
    )
    _solved(network, claims, start, seconds, seed)
    return claims


def _solved(network, claims, start, seconds, seed):
    """What the solver says, of the whole and a few loads at a time."""
    words, layouts = [], [start]
    effort = Effort(seconds, 1, seed)
    placed, most_s = start.layout.placed, start.goal[0]
    solve(Job(network, claims.now_s, placed, most_s, effort, claims.kept), words.append)
    layouts += [rebuilt(network, word.layout) for word in words if word.layout is not None]
    best = min(layouts, key=lambda found: rank(network, found))
    claims.layouts["solver"] = best
    quarters = max((word.bound_quarters for word in words), default=0)
    claims.never_before["solver"] = claims.now_s + (quarters - 1) * SLOT_S + 1
    if quarters >= claims.quarters(best.goal[0]):
        claims.proved["solver"] = claims.quarters(best.goal[0])
    pieces = []
    job = Job(network, claims.now_s, placed, most_s, Effort(0.4, 1, seed), claims.kept)
    better_by_pieces(job, placed, 0.4, pieces.append)
    if pieces:
        claims.layouts["a few loads at a time"] = rebuilt(network, pieces[-1].layout)
