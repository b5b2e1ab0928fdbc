"""Symbols and words for states, kinds of step and stages: never a colour alone."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from finplan.planning.plan import PlannedStep
from finplan.trade.finishes import Stage
from finplan.trade.steps import DUSTY_KINDS, WAITING_KINDS, WET_KINDS, Side, StepKind
from finplan.tui.models.paint import Role
from finplan.tui.models.view import View

GOVERNS = "The label and the safety data sheet govern."

LABEL_CAUTION = "label governs"
"""The library's caution that says the same; it is shown once, as ``GOVERNS``."""


@dataclass(frozen=True, slots=True)
class State:
    """A state as it is shown: symbol, word and role."""

    symbol: str
    word: str
    role: Role

    @property
    def text(self) -> str:
        """Symbol and word together."""
        return f"{self.symbol} {self.word}"


DONE = State("✓", "done", Role.GOOD)
SKIPPED = State("↷", "skipped", Role.QUIET)
OVERDUE = State("!", "overdue", Role.BAD)
READY = State("●", "now", Role.NOW)
SOON = State("◐", "next", Role.WORK)
PLANNED = State("○", "planned", Role.PLAIN)
DRYING = State("◔", "drying", Role.WET)
OPEN = State("◇", "open", Role.GOOD)
CLOSING = State("◆", "closing", Role.WATCH)
CLOSED = State("■", "closed", Role.BAD)

KIND_SYMBOLS: dict[StepKind, str] = {
    StepKind.PREPARE: "≡",
    StepKind.SAND: "≈",
    StepKind.CLEAN: "∿",
    StepKind.RAISE_GRAIN: "^",
    StepKind.SEAL: "◉",
    StepKind.COAT: "●",
    StepKind.WIPE_OFF: "◌",
    StepKind.TURN: "↻",
    StepKind.SCUFF: "≈",
    StepKind.CURE: "◷",
    StepKind.ASSEMBLE: "╬",
    StepKind.INSTALL: "▣",
    StepKind.RELEASE: "★",
}

STAGE_WORDS: dict[Stage, str] = {
    Stage.SET_TO_TOUCH: "touch",
    Stage.DUST_FREE: "dust-free",
    Stage.TACK_FREE: "tack-free",
    Stage.DRY_TO_HANDLE: "handle",
    Stage.DRY_TO_RECOAT: "recoat",
    Stage.DRY_THROUGH: "through",
    Stage.FULL_CURE: "cured",
}


def kind_role(kind: StepKind) -> Role:
    """Return the role steps of this kind are drawn in."""
    if kind in WET_KINDS:
        return Role.WET
    if kind in DUSTY_KINDS:
        return Role.WATCH
    if kind in WAITING_KINDS:
        return Role.QUIET
    return Role.WORK


def load_name(batch: str, load: int, loads: int) -> str:
    """Return ``slats`` or, where the batch is cut into loads, ``slats 2/3``."""
    return f"{batch} {load}/{loads}" if loads > 1 else batch


def load_of(step: PlannedStep) -> str:
    """Return the load a step belongs to, in words."""
    return load_name(step.batch, step.load, step.loads)


def step_title(step: PlannedStep) -> str:
    """Return a step's title, with its side where the pieces are turned."""
    side = {Side.FIRST: " · first side", Side.SECOND: " · second side"}.get(step.side, "")
    return step.title if not side or "side" in step.title.casefold() else step.title + side


def short_title(step: PlannedStep) -> str:
    """Return a step's title in few words: a coat by its number and side alone."""
    if step.kind is not StepKind.COAT:
        return step_title(step)
    side = {Side.FIRST: ", first side", Side.SECOND: ", second side"}.get(step.side, "")
    return f"Coat {step.coat}{side}"


def title_with_finish(view: View, step: PlannedStep) -> str:
    """Return a coat's short title and the can to open."""
    own = view.as_made(step) if step.kind is StepKind.COAT else None
    return f"{short_title(step)} · {own.finish}" if own and own.finish else short_title(step)


def state_of(step: PlannedStep, now: dt.datetime, skipped: bool = False) -> State:
    """Return how a step stands at ``now``."""
    if skipped:
        return SKIPPED
    if step.done:
        return DONE
    if step.kind in WAITING_KINDS:
        return DRYING if step.start <= now else PLANNED
    if step.end <= now:
        return OVERDUE
    if step.start <= now:
        return READY
    return PLANNED


def was_skipped(view: View, step: PlannedStep) -> bool:
    """Whether the journal says that the step was left out."""
    if view.planned is None or step.project not in view.planned.progress:
        return False
    done = view.planned.progress[step.project].done.get((step.batch, step.load, step.step))
    return bool(done and done.skipped)


def cautions_of(view: View, step: PlannedStep) -> tuple[str, ...]:
    """Return the words of warning that belong to a step and to the finish it uses."""
    if view.planned is None:
        return ()
    said = view.planned.cautions_at(step)
    return tuple(caution.text for caution in said if caution.key != LABEL_CAUTION)
