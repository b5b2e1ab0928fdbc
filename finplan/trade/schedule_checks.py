"""Checks of a finishing schedule, made by hand or from a template."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from finplan.trade.checks import check_step
from finplan.trade.errors import BadInput
from finplan.trade.finishes import STAGE_ORDER, Finish, Stage
from finplan.trade.grits import Grit, Verdict, check_progression, parse_grit
from finplan.trade.names import did_you_mean, shown
from finplan.trade.plain import within
from finplan.trade.schedules import goes_on_wet
from finplan.trade.steps import DUSTY_KINDS, WET_KINDS, Side, Step, StepKind

if TYPE_CHECKING:
    from collections.abc import Iterable

MOST_STEPS = 200
STAGES_FOR = {
    StepKind.TURN: Stage.DRY_TO_HANDLE,
    StepKind.SCUFF: Stage.DRY_THROUGH,
    StepKind.ASSEMBLE: Stage.DRY_THROUGH,
    StepKind.RELEASE: Stage.FULL_CURE,
}
"""What a step of this kind should at least wait for after a coat."""


def check_steps(
    steps: Sequence[Step],
    finishes: Mapping[str, Finish],
    grits: Mapping[str, Grit],
    where: str = "",
) -> tuple[str, ...]:
    """Refuse a schedule that can't be done, and return advice on one that should be better.

    Args:
        steps: the batch's steps in order.
        finishes: known finishes by name.
        grits: known grits by name.
        where: the place named in front of an error.

    Returns:
        One sentence for each weakness: no dusting off before a coat, wide or refused steps of
        grit, coats that do not wait long enough or are not wiped off, unusual numbers of coats.

    Raises:
        BadInput: no steps, keys not unique, unknown finish or grit, coats out of order, a
            second side without turning, wiping off without a coat, times below zero.
    """
    if not steps:
        raise BadInput("has no steps: start from a finishing schedule of the library", where)
    if len(steps) > MOST_STEPS:
        raise BadInput(f"has {len(steps)} steps: {MOST_STEPS} are the most", where)
    seen: set[str] = set()
    for step in steps:
        place = within(where, f"step {shown(step.key)}")
        if step.key in seen:
            raise BadInput("the key stands twice: keys are unique in a batch", place)
        seen.add(step.key)
        _check_step(step, finishes, grits, place)
    _check_order(steps, where)
    return (
        *_dust_advice(steps, finishes),
        *_grit_advice(steps, grits),
        *_wait_advice(steps),
        *_wipe_advice(steps, finishes),
        *_coat_count_advice(steps, finishes),
    )


def _check_step(
    step: Step, finishes: Mapping[str, Finish], grits: Mapping[str, Grit], place: str
) -> None:
    check_step(step, place)
    if step.kind in WET_KINDS or step.kind is StepKind.WIPE_OFF:
        if not step.finish:
            raise BadInput("names no finish: say which", place)
        if step.finish not in finishes:
            near = did_you_mean(step.finish, finishes)
            raise BadInput(f"there is no finish {shown(step.finish)}{near}", place)
    if step.kind is StepKind.COAT and step.coat < 1:
        raise BadInput(f"coat number {step.coat}: coats count from 1", place)
    for grit in step.grits:
        parse_grit(grit, grits, place)


def _check_order(steps: Sequence[Step], where: str) -> None:
    """Coats rise by one, second sides follow a turn, wiping off follows its coat."""
    last_coat, turned = 0, False
    previous: Step | None = None
    for step in steps:
        place = within(where, f"step {shown(step.key)}")
        if step.kind is StepKind.TURN:
            turned = True
        elif step.kind is StepKind.COAT:
            expected = last_coat if step.side is Side.SECOND else last_coat + 1
            if step.coat != expected:
                raise BadInput(f"coat {step.coat} stands where coat {expected} belongs", place)
            if step.side is Side.SECOND and not turned:
                raise BadInput("the second side comes without turning: put a turn before", place)
            last_coat, turned = step.coat, False
        elif step.kind is StepKind.WIPE_OFF and (
            previous is None or previous.kind not in WET_KINDS
        ):
            raise BadInput("nothing was put on just before: put it after its coat", place)
        previous = step


def _dust_advice(steps: Sequence[Step], finishes: Mapping[str, Finish]) -> Iterable[str]:
    """A coat wants a dusting off since the last dusty step and since the last coat."""
    cleaned = False
    for step in steps:
        if step.kind is StepKind.CLEAN:
            cleaned = True
        elif step.kind in DUSTY_KINDS:
            cleaned = False
        elif step.kind is StepKind.COAT:
            on_wet = step.coat > 1 and goes_on_wet(finishes[str(step.finish)])
            if not cleaned and step.side is not Side.SECOND and not on_wet:
                yield f"{step.title}: blow and wipe the dust off first"
            cleaned = cleaned and step.side is Side.FIRST


def _grit_advice(steps: Sequence[Step], grits: Mapping[str, Grit]) -> Iterable[str]:
    for step in steps:
        for change in check_progression([parse_grit(grit, grits) for grit in step.grits]):
            if change.verdict is not Verdict.GOOD:
                yield f"{step.title}: {change.sentence}"


def _wait_advice(steps: Sequence[Step]) -> Iterable[str]:
    """Compare what each step waits for with what it should, once something wet came before."""
    wet, waited = False, -1
    for step in steps:
        asked = STAGE_ORDER.index(step.waits_for) if step.waits_for else -1
        waited = max(waited, asked)
        wanted = STAGES_FOR.get(step.kind)
        if step.kind is StepKind.COAT and step.coat > 1 and step.side is not Side.SECOND:
            wanted = Stage.DRY_TO_RECOAT
        if wet and wanted is not None and waited < STAGE_ORDER.index(wanted):
            yield f"{step.title}: should wait until the coat before is {wanted.value}"
        if step.kind in WET_KINDS:
            wet, waited = True, -1


def _wipe_advice(steps: Sequence[Step], finishes: Mapping[str, Finish]) -> Iterable[str]:
    """What stays wet on the surface of a finish that is wiped off turns sticky."""
    for step, following in itertools.zip_longest(steps, steps[1:]):
        if step.kind is not StepKind.COAT:
            continue
        finish = finishes[str(step.finish)]
        wiped = following is not None and following.kind is StepKind.WIPE_OFF
        coated = following is not None and following.kind is StepKind.COAT
        if finish.wipe_off_minutes and not wiped and not (coated and goes_on_wet(finish)):
            yield (
                f"{step.title}: wipe off what stays wet after "
                f"{finish.wipe_off_minutes.low:g} to {finish.wipe_off_minutes.high:g} minutes"
            )


def _coat_count_advice(steps: Sequence[Step], finishes: Mapping[str, Finish]) -> Iterable[str]:
    coats = {step.coat: str(step.finish) for step in steps if step.kind is StepKind.COAT}
    if len(set(coats.values())) != 1:
        return
    finish = finishes[coats[max(coats)]]
    if len(coats) < finish.coats.low:
        yield f"{finish.title}: {finish.coats.low:g} coats are usual at least, not {len(coats)}"
    elif len(coats) > finish.coats.high + 1:
        yield f"{finish.title}: {finish.coats.high:g} coats are usual at most, not {len(coats)}"
