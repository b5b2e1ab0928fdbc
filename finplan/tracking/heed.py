"""What a step just recorded calls for, or went against: wiping in time, the recoat window."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping

from finplan.planning.plan import Plan, PlannedStep
from finplan.tracking.surfaces import is_scuffed_for, loads_of, surfaces_of
from finplan.tracking.wording import length_words
from finplan.trade.finishes import Finish
from finplan.trade.moments import short_moment
from finplan.trade.numbers import Span
from finplan.trade.steps import StepKind

WIPING_SLACK = dt.timedelta(minutes=15)
"""How late a wiping may be told before it is spoken of (assumption: people round to a quarter)."""


def what_to_heed(
    plan: Plan,
    before: Plan | None,
    finishes: Mapping[str, Finish | None],
    step: PlannedStep,
    zone: dt.tzinfo,
) -> tuple[str, ...]:
    """Return sentences on a step of a plan that was just recorded as done.

    Args:
        plan: the plan after it was recorded.
        before: the plan before, None where there was none.
        finishes: for ids of the plan's steps the finish they put on.
        step: the step recorded, as the plan has it.
        zone: the zone times are told in.
    """
    line = next(steps for steps in loads_of(plan) if step in steps)
    at = line.index(step)
    if step.kind is StepKind.WIPE_OFF:
        coat = next((one for one in reversed(line[:at]) if one.kind is StepKind.COAT), None)
        return tuple(_wiped_late(step, coat, finishes)) if coat else ()
    if step.kind is not StepKind.COAT:
        return ()
    after = line[at + 1] if at + 1 < len(line) else None
    span = _wiping_span(finishes, step)
    to_wipe = after is not None and after.kind is StepKind.WIPE_OFF and not after.done
    wiping = [_wipe_by(step, span, plan.now, zone)] if to_wipe and span is not None else []
    return (*_below_not_fit(before, step, zone), *wiping)


def _wiping_span(finishes: Mapping[str, Finish | None], coat: PlannedStep) -> Span | None:
    finish = finishes.get(coat.id)
    return finish.wipe_off_minutes if finish is not None else None


def _wiped_late(
    wiped: PlannedStep, coat: PlannedStep, finishes: Mapping[str, Finish | None]
) -> Iterator[str]:
    """Say that what was left wet stood too long; the work itself may take its time."""
    span = _wiping_span(finishes, coat)
    if span is None:
        return
    stood = wiped.end - coat.end
    if stood > dt.timedelta(minutes=span.high + wiped.minutes) + WIPING_SLACK:
        yield (
            f"Wiped {length_words(stood.total_seconds() / 60)} after the coat, where "
            f"{_minutes(span)} are meant: feel for sticky spots, and take them off before the "
            "next coat."
        )


def _wipe_by(coat: PlannedStep, span: Span, now: dt.datetime, zone: dt.tzinfo) -> str:
    opens, closes = (coat.end + dt.timedelta(minutes=one) for one in (span.low, span.high))
    if now > closes:
        return (
            f"Wipe it off at once: that was to be done by {short_moment(closes, zone)}; what gels "
            "is hard to get off."
        )
    return f"Wipe it off between {short_moment(opens, zone)} and {short_moment(closes, zone)}."


def _below_not_fit(before: Plan | None, coat: PlannedStep, zone: dt.tzinfo) -> Iterator[str]:
    """Say that the surface below had closed its window unscuffed, or was hardly dry."""
    if before is None:
        return
    met = [(low, over) for low, over in surfaces_of(before) if over.id == coat.id and low.done]
    for below, planned in met:
        closed = below.window_closes
        if closed is not None and coat.start > closed and not is_scuffed_for(before, coat):
            yield (
                f"The recoat window closed {short_moment(closed, zone)} and no scuffing is "
                "recorded: the coat may not hold. If it was scuffed, undo this and record the "
                "scuffing first."
            )
        wait = planned.waits_for
        if wait is not None and coat.start < wait.likely:
            yield (
                f"It went on before what is below was likely {wait.stage.value} "
                f"({short_moment(wait.likely, zone)}): it may wrinkle or stay soft, so look at it "
                "before the next coat."
            )


def _minutes(span: Span) -> str:
    return f"{span.low:g} min" if span.low == span.high else f"{span.low:g} to {span.high:g} min"
