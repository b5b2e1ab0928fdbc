"""Abrasive grits: particle sizes, and whether a sequence of them leaves no scratches behind."""

from __future__ import annotations

import itertools
import re
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from finplan.trade.errors import BadInput
from finplan.trade.names import did_you_mean, shown
from finplan.trade.numbers import Number

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

GOOD_RATIO = Number(1.7, "assumption: one grade skipped at most, no published value")
WORST_RATIO = Number(2.1, "assumption: two grades skipped at most, no published value")


class GritSystem(StrEnum):
    """Who numbers the grit. The same number is not the same grain in both."""

    P = "P"
    CAMI = "CAMI"


@dataclass(frozen=True, slots=True)
class Grit:
    """An abrasive grade. ``name`` is ``P120`` or ``CAMI 120``; ``mean_um`` its mean grain size."""

    name: str
    system: GritSystem
    number: int
    mean_um: Number


class Verdict(StrEnum):
    """What is said of a step from one grit to the next."""

    GOOD = "good"
    WIDE = "wide"
    REFUSED = "refused"


@dataclass(frozen=True, slots=True)
class GritStep:
    """One step of a sequence: ``ratio`` is the coarser mean grain size over the finer."""

    coarser: Grit
    finer: Grit
    ratio: float
    verdict: Verdict
    sentence: str


def parse_grit(text: str, known: Mapping[str, Grit], where: str = "") -> Grit:
    """Return the grit a person wrote: ``P120``, ``p 120``, ``CAMI 120``, ``120 CAMI``.

    Args:
        text: what was written.
        known: grits by name, as the library has them.
        where: the place named in front of an error.

    Raises:
        BadInput: no such grit, or a bare number, which means two different grains.
    """
    plain = " ".join(text[:40].split()).upper()
    found = re.fullmatch(r"(P|CAMI)?\s*(\d{1,5})\s*(CAMI)?", plain)
    if found is None or (found[1] and found[3]):
        raise BadInput(f"{shown(text)} is no grit: write e.g. P120 or CAMI 120", where)
    number = int(found[2])
    if not found[1] and not found[3]:
        raise BadInput(
            f"grit {number} can be P{number} or CAMI {number}: write which of the two", where
        )
    name = f"P{number}" if found[1] == "P" else f"CAMI {number}"
    if name not in known:
        raise BadInput(f"there is no grit {name}{did_you_mean(name, known)}", where)
    return known[name]


def check_progression(grits: Sequence[Grit]) -> tuple[GritStep, ...]:
    """Judge each step of a sanding sequence by the ratio of grain sizes, not of grit numbers.

    Up to 1.7 is good, up to 2.1 wide (scratches may stay), above refused; so is a step back to
    a coarser or equal grain. The bounds are an assumption: no published rule was found.
    """
    return tuple(_judge(coarser, finer) for coarser, finer in itertools.pairwise(grits))


def _judge(coarser: Grit, finer: Grit) -> GritStep:
    ratio = coarser.mean_um.value / finer.mean_um.value
    step = f"{coarser.name} to {finer.name}"
    if ratio <= 1:
        verdict, sentence = Verdict.REFUSED, f"{step} is no finer: put the coarser grit first"
    elif ratio <= GOOD_RATIO.value:
        verdict, sentence = Verdict.GOOD, f"{step}: grain {ratio:.2f} times finer, good"
    elif ratio <= WORST_RATIO.value:
        verdict = Verdict.WIDE
        sentence = f"{step}: grain {ratio:.2f} times finer, wide; sand longer or put one between"
    else:
        verdict = Verdict.REFUSED
        sentence = f"{step}: grain {ratio:.2f} times finer, too wide; put a grit between"
    return GritStep(coarser, finer, ratio, verdict, sentence)
