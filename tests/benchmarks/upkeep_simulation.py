"""How late a flat yearly cycle and the adaptive one renew, over invented pieces.

500 pieces with the default interval of a year, of one finish under the same exposures: the median
life of each is drawn around the default (or one 30 % off), each coat's life around the piece's.
Each is looked at when it was neither looked at nor renewed for half a year, as the program asks.
On the day a renewal falls due the drops are tested first: where the program then says a later day
the coat is left, unless that is so soon that whoever is there does it at once. Late weeks are
those in which the finish is gone and not yet renewed. What the pieces teach each other is brought
up to date four times a year. The lives of coats scatter as the model assumes in the first rows,
and half as much again in the last. Beside them stands what nobody could do better: the late weeks
of one who knows every life ahead and may renew once a year, on average over all pieces.

Run: python -m tests.benchmarks.upkeep_simulation [pieces] [years] [seed]
     [--house N] (pieces teach each other in houses of so many)
     [--coat-anyway] (coats on the due day whatever the drops do)
     [--even] (medians laid out evenly)
"""

from __future__ import annotations

import argparse
import sys
import time
from dataclasses import dataclass, field
from statistics import NormalDist

import numpy as np

from finplan.tracking.upkeep.life import Look, bounds_of, learn, price_months, renewal_age
from finplan.tracking.upkeep.pieces import Finding
from finplan.tracking.upkeep.together import teach
from finplan.trade.numbers import Span

DEFAULT = Span(9.0, 16.0, "invented for the simulation: a year in the middle")
WEEK = 12.0 / 52.18
LOOK_EVERY = 6.0
PIECE_SPREAD = 0.3
TAUGHT_EVERY = 3.0
DONE_AT_ONCE = 1.0
"""Whoever is there with the can does not come again within so many months."""


def found(age, life):
    """What the drops do on a coat of this age (months) that lasts so long."""
    if age >= life:
        return Finding.SOAKS_IN
    return Finding.SLOW if age >= 0.75 * life else Finding.BEADS


def flat_late(lives, months):
    """Late months of a piece renewed every twelve."""
    return np.maximum(0.0, 12.0 - lives[: int(months // 12.0)]).sum()


@dataclass
class Piece:
    """A piece followed through the years; the rule sees nothing but the looks."""

    lives: np.ndarray
    look_at: float
    ended: list = field(default_factory=list)
    looks: list = field(default_factory=list)
    new: float = 0.0
    due: float = 0.0
    late: float = 0.0
    seen_in_vain: int = 0
    seen: int = 0

    def coats(self):
        """The bounds of its coats, the standing one last."""
        return [*self.ended, bounds_of(self.looks)]

    def plan(self, taught, now):
        """Let the real rule say when it is due."""
        coats = self.coats()
        belief = learn(DEFAULT, coats[:-1], taught.others(coats).before)
        age = renewal_age(belief, coats[-1], price_months(DEFAULT, taught.dearer))
        self.due = max(now, self.new + age)

    def follow(self, taught, until, anyway):
        """Look and renew up to a moment, months from the beginning."""
        while (now := min(self.due, self.look_at)) < until:
            on_due_day = self.due <= self.look_at
            life = self.lives[len(self.ended)]
            self.looks.append(Look(now - self.new, (found(now - self.new, life),)))
            self.plan(taught, now)
            soon = now + DONE_AT_ONCE if on_due_day else now
            self.look_at = now + LOOK_EVERY
            if self.due <= soon or (on_due_day and anyway):
                self.late += max(0.0, now - self.new - life)
                self.ended.append(bounds_of(self.looks))
                self.looks, self.new = [], now
                self.plan(taught, now)
            else:
                self.seen += 1
                self.seen_in_vain += on_due_day

    def end(self, months):
        """Count the standing coat up to the end."""
        self.late += max(0.0, months - self.new - self.lives[len(self.ended)])


def adaptive(lives, first_looks, months, house, anyway):
    """Follow all pieces: late months, renewals, looks without one, those on a due day, need."""
    pieces = [Piece(*one) for one in zip(lives, first_looks, strict=True)]
    houses = [pieces[at : at + house] for at in range(0, len(pieces), house)]
    needs = []
    for together in houses:
        now = 0.0
        while now < months:
            taught = teach(DEFAULT, [piece.coats() for piece in together])
            until = min(now + TAUGHT_EVERY, months)
            for piece in together:
                piece.plan(taught, now)
                piece.follow(taught, until, anyway)
            now = until
        needs.append(taught.need)
    for piece in pieces:
        piece.end(months)
    return np.array(
        [
            sum(piece.late for piece in pieces),
            sum(len(piece.ended) for piece in pieces),
            sum((months - one.new) / (max(one.due, months) - one.new) for one in pieces),
            sum(piece.seen for piece in pieces),
            sum(piece.seen_in_vain for piece in pieces),
        ]
    ), float(np.mean(needs))


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


def run(asked, offs, scatter):
    """Return a row: late weeks and renewals, flat and adaptive, and what bounds them."""
    rng = np.random.default_rng(asked.seed)
    count, months = asked.pieces, 12.0 * asked.years
    if asked.even:
        z = np.array([NormalDist().inv_cdf((at + 0.5) / count) for at in range(count)])
        rng.shuffle(z)
        off = np.resize(offs, count)
    else:
        z, off = rng.standard_normal(count), rng.choice(offs, count)
    medians = 12.0 * off * np.exp(PIECE_SPREAD * z)
    lives = medians[:, None] * np.exp(scatter * rng.standard_normal((count, 30 * asked.years)))
    first_looks = rng.uniform(0.0, LOOK_EVERY, count)
    flat = sum(flat_late(some, months) for some in lives)
    sums, need = adaptive(lives, first_looks, months, asked.house or count, asked.coat_anyway)
    coats = lives[:, : 8 * asked.years]
    at_flat = clairvoyant(coats, months, count * asked.years)
    at_same = clairvoyant(coats, months, sums[1])
    year = count * asked.years
    late = flat / WEEK / year
    return (
        f"{late:6.2f} {sums[0] / WEEK / year:8.2f} ({sums[0] / flat:4.0%})"
        f" {sums[1] / year:10.3f} {(sums[1] + sums[2]) / year:8.3f}"
        f" {sums[3] / year:7.2f} {sums[4] / year:5.2f} {need:6.2f}"
        f" {at_flat / flat:8.0%} {at_same / flat:8.0%}"
    )


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("pieces", nargs="?", type=int, default=500)
    parser.add_argument("years", nargs="?", type=int, default=10)
    parser.add_argument("seed", nargs="?", type=int, default=20261126)
    parser.add_argument("--house", type=int, default=0)
    parser.add_argument("--coat-anyway", action="store_true")
    parser.add_argument("--even", action="store_true")
    asked = parser.parse_args()
    began = time.process_time()
    lines = [
        "                 late weeks a year        renewals a year   looks a year        bound at",
        "lives              flat adaptive          done  +part     all  vain   need  1.00    same",
    ]
    for name, offs, scatter in (
        ("as default", (1.0,), 0.2),
        ("30 % longer", (1.3,), 0.2),
        ("30 % shorter", (0.7,), 0.2),
        ("all three mixed", (0.7, 1.0, 1.3), 0.2),
        ("rougher coats", (1.0,), 0.3),
    ):
        lines.append(f"{name:<16} {run(asked, offs, scatter)}")
    lines.append(
        "+part: the standing coat counted by its share; vain: on a due day, and the coat left; "
        "bound: of the flat cycle's late weeks"
    )
    lines.append(f"{asked.pieces} pieces, {asked.years} years, {time.process_time() - began:.0f} s")
    sys.stdout.write("\n".join(lines) + "\n")


if __name__ == "__main__":
    main()
