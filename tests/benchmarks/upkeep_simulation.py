"""How late a flat yearly cycle and the adaptive one renew, over invented pieces.

500 pieces with the default interval of a year: the median life of each piece is drawn around
the default (or one 30 % off), each coat's life around the piece's. All are looked at twice a
year. Late weeks are those in which the finish is gone and not yet renewed. The lives of coats
scatter as the model assumes in the first rows, and half as much again in the last. Beside them
stands what nobody could do better: the late weeks of one who knows every life ahead and may
renew once a year, on average over all pieces.

Run: python -m tests.benchmarks.upkeep_simulation [pieces] [years] [seed]
"""

from __future__ import annotations

import sys
import time

import numpy as np

from finplan.tracking.upkeep.life import Look, bounds_of, learn, renewal_age
from finplan.tracking.upkeep.pieces import Finding
from finplan.trade.numbers import Span

DEFAULT = Span(9.0, 16.0, "invented for the simulation: a year in the middle")
WEEK = 12.0 / 52.18
LOOK_EVERY = 6.0
PIECE_SPREAD = 0.3


def found(age, life):
    """What the drops do on a coat of this age (months) that lasts so long."""
    if age >= life:
        return Finding.SOAKS_IN
    return Finding.SLOW if age >= 0.75 * life else Finding.BEADS


def flat(lives, months):
    """Renew every twelve months: late months and renewals."""
    renewals = int(months // 12.0)
    return sum(max(0.0, 12.0 - lives()) for _ in range(renewals)), renewals


def adaptive(lives, months, first_look):
    """Renew when the model says so; it sees nothing but the looks."""
    ended, late, renewals, new = [], 0.0, 0, 0.0
    looks_at = first_look + LOOK_EVERY * np.arange(int(months // LOOK_EVERY) + 1)
    while True:
        life, looks = lives(), []
        belief = learn(DEFAULT, ended)
        ahead = [at for at in looks_at if at > new]
        due = new + renewal_age(belief, bounds_of(looks), DEFAULT.middle)
        for at in ahead:
            if due <= at:
                break
            looks.append(Look(at - new, (found(at - new, life),)))
            due = max(at, new + renewal_age(belief, bounds_of(looks), DEFAULT.middle))
        if due >= months:
            return late + max(0.0, months - new - life), renewals
        late += max(0.0, due - new - life)
        looks.append(Look(due - new, (found(due - new, life),)))
        ended.append(bounds_of(looks))
        renewals, new = renewals + 1, due


def clairvoyant(lives, months, renewals):
    """Return the least late months of all pieces that some renewals in all allow.

    Whoever knows every life ahead renews each coat the day it is gone, and leaves out the
    renewals that save least. A price on renewals makes it a bound from below (Lagrange).

    Args:
        lives: months, shape (pieces, coats), each piece's coats in order.
        months: how long they are followed.
        renewals: how many there may be in all.
    """
    late = np.maximum(0.0, months - np.cumsum(lives, axis=1))
    prices = np.linspace(0.0, 30.0, 601)
    made = np.arange(late.shape[1])
    return max((late + price * made).min(axis=1).sum() - price * renewals for price in prices)


def run(pieces, years, offs, scatter, seed):
    """Return late weeks and renewals per piece and year: flat, adaptive; and the bound's weeks."""
    rng = np.random.default_rng(seed)
    totals, known = np.zeros(5), []
    for _ in range(pieces):
        off = float(rng.choice(offs))
        median = 12.0 * off * float(np.exp(PIECE_SPREAD * rng.standard_normal()))
        draws = iter(median * np.exp(scatter * rng.standard_normal(5_000)))
        coats = median * np.exp(scatter * rng.standard_normal(5_000))
        again = iter(list(coats))
        first = float(rng.uniform(0.0, LOOK_EVERY))
        totals[:2] += flat(lambda d=draws: next(d), 12.0 * years)
        totals[2:4] += adaptive(lambda a=again: next(a), 12.0 * years, first)
        known.append(coats[: 8 * years])
    totals[4] = clairvoyant(np.array(known), 12.0 * years, pieces * years)
    totals[[0, 2, 4]] /= WEEK
    return totals / pieces / years


def main():
    pieces = int(sys.argv[1]) if len(sys.argv) > 1 else 500
    years = int(sys.argv[2]) if len(sys.argv) > 2 else 10
    seed = int(sys.argv[3]) if len(sys.argv) > 3 else 20261126
    began, lines = time.perf_counter(), []
    lines.append(
        "lives            late weeks a year            renewals a year   bound: late weeks"
    )
    lines.append(
        "                 flat     adaptive            flat   adaptive   at one renewal a year"
    )
    for name, offs, scatter in (
        ("as default", (1.0,), 0.2),
        ("30 % longer", (1.3,), 0.2),
        ("30 % shorter", (0.7,), 0.2),
        ("all three mixed", (0.7, 1.0, 1.3), 0.2),
        ("rougher coats", (1.0,), 0.3),
    ):
        a, b, c, d, e = run(pieces, years, offs, scatter, seed)
        lines.append(
            f"{name:<16} {a:5.2f}    {c:5.2f} ({c / a:4.0%})  {b:4.2f}   {d:5.3f}"
            f"      {e:5.2f} ({e / a:4.0%})"
        )
    lines.append(f"{pieces} pieces, {years} years, {time.perf_counter() - began:.0f} s")
    sys.stdout.write("\n".join(lines) + "\n")


if __name__ == "__main__":
    main()
