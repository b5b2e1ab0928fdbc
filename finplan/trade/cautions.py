"""Cautions: what can hurt, said at the step where it matters."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from finplan.trade.finishes import Chemistry, Finish
from finplan.trade.steps import Step, StepKind, finish_near

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution. ``kinds`` are the steps it belongs to.

    ``chemistries`` empty means any. ``of_finish`` marks a caution that is said only where the
    finish, or the step itself, names its key.
    """

    key: str
    text: str
    kinds: frozenset[StepKind]
    source: str
    chemistries: frozenset[Chemistry] = frozenset()
    of_finish: bool = True


def cautions_for(
    step: Step, finish: Finish | None, known: Mapping[str, Caution]
) -> tuple[Caution, ...]:
    """Return the cautions to say at a step, in the library's order.

    Args:
        step: the step; keys it names itself are always said.
        finish: the finish of the batch at this step, None where there is none.
        known: the library's cautions by key.
    """
    return tuple(caution for caution in known.values() if _is_said(caution, step, finish))


def cautions_within(
    steps: Sequence[Step], step: Step, finishes: Mapping[str, Finish], known: Mapping[str, Caution]
) -> tuple[Caution, ...]:
    """Return the cautions to say at a step of a schedule; a dry step meets the finish beside it.

    Args:
        steps: the batch's steps in order.
        step: one of them.
        finishes: by name.
        known: the library's cautions by key.
    """
    name = step.finish or finish_near(steps, steps.index(step))
    return cautions_for(step, finishes[name] if name else None, known)


def _is_said(caution: Caution, step: Step, finish: Finish | None) -> bool:
    if caution.key in step.cautions:
        return True
    if step.kind not in caution.kinds:
        return False
    if caution.chemistries and (finish is None or finish.chemistry not in caution.chemistries):
        return False
    return not caution.of_finish or (finish is not None and caution.key in finish.cautions)
