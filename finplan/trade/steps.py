"""Steps: what is done to a batch, in order, from the first grit to the release to service."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from finplan.trade.errors import BadInput
from finplan.trade.finishes import Stage
from finplan.trade.names import did_you_mean, shown

if TYPE_CHECKING:
    from collections.abc import Sequence


class StepKind(StrEnum):
    """The kinds of step a finishing schedule is made of."""

    PREPARE = "prepare"
    SAND = "sand"
    CLEAN = "clean"
    RAISE_GRAIN = "raise grain"
    SEAL = "seal"
    COAT = "coat"
    WIPE_OFF = "wipe off"
    TURN = "turn"
    SCUFF = "scuff"
    CURE = "cure"
    ASSEMBLE = "assemble"
    INSTALL = "install"
    RELEASE = "release"


class Side(StrEnum):
    """Which side of the pieces a step works on: all at once on points, or one after the other."""

    ALL = "all"
    FIRST = "first"
    SECOND = "second"


DUSTY_KINDS: frozenset[StepKind] = frozenset({StepKind.PREPARE, StepKind.SAND, StepKind.SCUFF})
"""Steps that make dust: never in a space where a surface is not dust-free yet."""

WET_KINDS: frozenset[StepKind] = frozenset({StepKind.SEAL, StepKind.COAT})
"""Steps that leave a wet surface."""

SPLITTABLE_KINDS: frozenset[StepKind] = frozenset({StepKind.PREPARE, StepKind.SAND, StepKind.SCUFF})
"""Steps that may be spread over several sessions."""

WAITING_KINDS: frozenset[StepKind] = frozenset({StepKind.CURE, StepKind.RELEASE})
"""Steps that need nobody: they end by themselves when what they wait for is reached."""

JOINING_KINDS: frozenset[StepKind] = frozenset(
    {StepKind.ASSEMBLE, StepKind.INSTALL, StepKind.RELEASE}
)
"""Steps done to a whole batch: from the first of them on the loads are one again, as load 1."""


EVERY_KIND = "all"
"""What is written of somebody who can do every kind of step."""


def parse_kinds(text: str, where: str = "") -> frozenset[StepKind] | None:
    """Return the kinds of step a text names, ``sand, wipe off``; None for ``all`` of them.

    Raises:
        BadInput: a word that is no kind of step; the nearest is offered.
    """
    if text.strip().lower() == EVERY_KIND:
        return None
    known = {kind.value: kind for kind in StepKind}
    named = [" ".join(word.lower().split()) for word in text.split(",")]
    wrong = [word for word in named if word not in known]
    if wrong:
        near = did_you_mean(wrong[0], known) or f": give some of {', '.join(known)}"
        raise BadInput(f"{shown(wrong[0])} is no kind of step{near}", where)
    return frozenset(known[word] for word in named)


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a batch's finishing schedule.

    ``key`` is unique within the batch and stable when other steps come or go
    (``coat-2-first``). ``coat`` counts from 1 (seal steps and what precedes the first coat: 0).
    ``waits_for`` is the
    stage the surface left by the last wet step before this one must have reached;
    None means the step may follow at once. ``wait_hours`` is a plain wait after the step before
    (raised grain drying), beside any stage. ``only_if_window_missed`` marks the scuffing that is
    needed only when the recoat window has closed. ``minutes_fixed`` is per load (setting up,
    cleaning up), ``minutes_per_m2`` comes on top for each square metre worked on.
    """

    key: str
    kind: StepKind
    title: str
    coat: int = 0
    side: Side = Side.ALL
    finish: str | None = None
    grits: tuple[str, ...] = ()
    method: str = ""
    minutes_fixed: float = 0.0
    minutes_per_m2: float = 0.0
    waits_for: Stage | None = None
    wait_hours: float = 0.0
    only_if_window_missed: bool = False
    cautions: tuple[str, ...] = ()
    note: str = ""


def of_loads(load: int, loads: int) -> str:
    """Return ``, load 1 of 2`` to stand behind a batch's name; nothing where there is one load."""
    return f", load {load} of {loads}" if loads > 1 else ""


def cut_at_joining(steps: tuple[Step, ...]) -> tuple[tuple[Step, ...], tuple[Step, ...]]:
    """Return the steps done load by load, and those done once the loads are one again."""
    at = next((at for at, step in enumerate(steps) if step.kind in JOINING_KINDS), len(steps))
    return steps[:at], steps[at:]


def finish_near(steps: Sequence[Step], at: int) -> str | None:
    """Return the finish a step at a place meets: the last put on before it, or the first after."""
    before = [step.finish for step in steps[:at] if step.finish]
    after = [step.finish for step in steps[at:] if step.finish]
    return next(iter([*reversed(before), *after]), None)
