"""How far each load is: the journal folded into facts."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field

from finplan.journal.entries import Entry
from finplan.trade.finishes import Stage


@dataclass(frozen=True, slots=True)
class Done:
    """A step that happened: when it started and ended (UTC), or was skipped at ``ended``."""

    started: dt.datetime
    ended: dt.datetime
    skipped: bool
    entry: Entry


@dataclass(frozen=True, slots=True)
class Check:
    """A dryness check: at ``at`` the surface left by ``step`` had reached ``stage``, or not."""

    batch: str
    load: int
    step: str
    at: dt.datetime
    stage: Stage
    reached: bool


@dataclass(frozen=True, slots=True)
class Progress:
    """What is so, as the journal tells it, for one project.

    Keys are (batch, load from 1, step key). ``loads``: how many loads a batch was cut into when
    its first step was recorded. ``spoiled``: pieces lost by part name. ``wishes``: the start a
    person asked for.
    """

    done: Mapping[tuple[str, int, str], Done] = field(default_factory=dict)
    loads: Mapping[str, int] = field(default_factory=dict)
    checks: tuple[Check, ...] = ()
    spoiled: Mapping[str, int] = field(default_factory=dict)
    wishes: Mapping[tuple[str, int, str], dt.datetime] = field(default_factory=dict)
    amounts_l: Mapping[tuple[str, int, str], float] = field(default_factory=dict)
