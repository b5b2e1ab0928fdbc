"""Finishing schedules: from a template and a finish to the ordered steps of a batch."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import TYPE_CHECKING

from finplan.trade.finishes import Chemistry, Stage
from finplan.trade.numbers import Number
from finplan.trade.steps import Side, Step, StepKind

if TYPE_CHECKING:
    from finplan.trade.finishes import Finish


TITLES: Mapping[StepKind, str] = {
    StepKind.PREPARE: "Prepare the pieces",
    StepKind.SAND: "Sand",
    StepKind.CLEAN: "Blow and wipe the dust off",
    StepKind.RAISE_GRAIN: "Wet the wood to raise the grain",
    StepKind.SEAL: "Seal end grain and screw holes",
    StepKind.COAT: "Coat",
    StepKind.WIPE_OFF: "Wipe off what stays wet",
    StepKind.TURN: "Turn the pieces",
    StepKind.SCUFF: "Scuff",
    StepKind.CURE: "Let it cure",
    StepKind.ASSEMBLE: "Assemble the pieces",
    StepKind.INSTALL: "Put it in place",
    StepKind.RELEASE: "Release to service",
}
"""What a step of each kind is called until a template or a person says more."""


class Sides(StrEnum):
    """How both sides of a piece get their coat."""

    ALL_AT_ONCE = "all at once"
    TURNED = "turned"


class Scuffing(StrEnum):
    """When the surface is scuffed between coats."""

    NEVER = "never"
    ALWAYS = "always"
    WINDOW_MISSED = "window missed"


@dataclass(frozen=True, slots=True)
class Minutes:
    """Hands-on time of a step: ``fixed`` per load, ``per_m2`` for each square metre on top."""

    fixed: float
    per_m2: float
    source: str


NO_MINUTES = Minutes(0.0, 0.0, "assumption: the step takes nobody's time")


@dataclass(frozen=True, slots=True)
class Template:
    """A finishing schedule for a common job, before it meets a batch.

    ``minutes`` are keyed by a step's key, by kind and method (``coat by rag``), or by kind.
    ``scuff_grit`` and ``grits`` are names of grits; ``notes`` are keyed by a step's key. Change
    anything with ``dataclasses.replace`` before expanding.
    """

    name: str
    title: str
    about: str
    finish: str
    coats: Number
    method: str
    sides: Sides
    minutes: Mapping[str, Minutes]
    prepare: str = ""
    grits: tuple[str, ...] = ()
    raise_grain_hours: Number | None = None
    seal_first: bool = False
    scuffing: Scuffing = Scuffing.NEVER
    scuff_grit: str = ""
    cure_before_install: bool = False
    assemble: bool = True
    install: bool = True
    release: bool = True
    notes: Mapping[str, str] = field(default_factory=dict)


def expand(template: Template, finish: Finish) -> tuple[Step, ...]:
    """Return the steps of a template with a finish, in order, with unique and stable keys.

    The dust comes off before every coat; end grain and screw holes are sealed before the first
    coat. Wiping dust off waits until the last coat is tack-free, each coat until it is dry to
    recoat, scuffing and assembling until it is dry through, turning until it is dry to handle,
    the release until it is fully cured.
    """
    steps = _preparation(template)
    for coat in range(1, round(template.coats.value) + 1):
        steps += _before_coat(template, finish, coat)
        steps += _coat(template, finish, coat)
    steps += _afterwards(template, finish)
    return tuple(_timed(template, step) for step in steps)


def _preparation(template: Template) -> list[Step]:
    """Return what comes before the first dusting off: prepare, sand, raise the grain."""
    steps = []
    if template.prepare:
        steps.append(Step("prepare", StepKind.PREPARE, template.prepare))
    if template.grits:
        title = f"Sand {', '.join(template.grits)}"
        steps.append(Step("sand", StepKind.SAND, title, grits=template.grits))
    if template.raise_grain_hours is not None and template.grits:
        steps.append(Step("raise-grain", StepKind.RAISE_GRAIN, TITLES[StepKind.RAISE_GRAIN]))
        finest = template.grits[-1:]
        steps.append(
            Step(
                "sand-raised-grain",
                StepKind.SAND,
                f"Sand the raised grain off, {finest[0]}",
                grits=finest,
                wait_hours=template.raise_grain_hours.value,
            )
        )
    return steps


def _before_coat(template: Template, finish: Finish, coat: int) -> list[Step]:
    """Return scuffing, dusting off and, before the first coat, sealing; nothing on a wet coat."""
    if coat == 1:
        clean = [Step("clean-1", StepKind.CLEAN, TITLES[StepKind.CLEAN])]
        return [*clean, *([_seal(template, finish)] if template.seal_first else [])]
    steps: list[Step] = []
    if _stacks_wet(template, finish):
        return steps
    if template.scuffing is not Scuffing.NEVER:
        steps.append(_scuff(template, coat))
    scuffed = template.scuffing is Scuffing.ALWAYS
    steps.append(
        Step(
            f"clean-{coat}",
            StepKind.CLEAN,
            f"{TITLES[StepKind.CLEAN]} before coat {coat}",
            coat=coat,
            waits_for=None if scuffed else Stage.TACK_FREE,
        )
    )
    return steps


def _seal(template: Template, finish: Finish) -> Step:
    return Step(
        "seal",
        StepKind.SEAL,
        TITLES[StepKind.SEAL],
        finish=finish.name,
        method=_method(template, finish),
    )


def _scuff(template: Template, coat: int) -> Step:
    grit = template.scuff_grit
    missed = template.scuffing is Scuffing.WINDOW_MISSED
    title = f"Scuff before coat {coat}" + (f", {grit}" if grit else "")
    return Step(
        f"scuff-{coat}",
        StepKind.SCUFF,
        title + (", if the recoat window was missed" if missed else ""),
        coat=coat,
        grits=(grit,) if grit else (),
        waits_for=Stage.DRY_THROUGH,
        only_if_window_missed=missed,
    )


def _coat(template: Template, finish: Finish, coat: int) -> list[Step]:
    """Return one coat: on all sides at once, or first side, turning, second side."""
    if template.sides is Sides.ALL_AT_ONCE:
        return _one_side(template, finish, coat, Side.ALL)
    turn = Step(
        f"turn-{coat}",
        StepKind.TURN,
        TITLES[StepKind.TURN],
        coat=coat,
        waits_for=Stage.DRY_TO_HANDLE,
    )
    return [
        *_one_side(template, finish, coat, Side.FIRST),
        turn,
        *_one_side(template, finish, coat, Side.SECOND),
    ]


def _one_side(template: Template, finish: Finish, coat: int, side: Side) -> list[Step]:
    """Return the coat on one side and, where the finish wants it, wiping off what stays wet."""
    suffix = "" if side is Side.ALL else f"-{side.value}"
    words = {Side.ALL: "", Side.FIRST: ", first side", Side.SECOND: ", second side"}[side]
    method = _method(template, finish)
    after_another = coat > 1 and side is not Side.SECOND
    after_film_seal = coat == 1 and template.seal_first and _leaves_film(finish)
    steps = [
        Step(
            f"coat-{coat}{suffix}",
            StepKind.COAT,
            f"Coat {coat} of {finish.name}, {method}{words}",
            coat=coat,
            side=side,
            finish=finish.name,
            method=method,
            waits_for=Stage.DRY_TO_RECOAT
            if after_another or (after_film_seal and side is not Side.SECOND)
            else None,
        )
    ]
    another_on_wet = _stacks_wet(template, finish) and coat < round(template.coats.value)
    if finish.wipe_off_minutes is not None and not another_on_wet:
        steps.append(
            Step(
                f"wipe-off-{coat}{suffix}",
                StepKind.WIPE_OFF,
                f"Wipe off what coat {coat} left wet{words}",
                coat=coat,
                side=side,
                finish=finish.name,
                wait_hours=finish.wipe_off_minutes.low / 60,
            )
        )
    return steps


def _afterwards(template: Template, finish: Finish) -> list[Step]:
    """Return what follows the last coat: assemble, cure, install, release to service."""
    steps = []
    if template.assemble:
        steps.append(
            Step(
                "assemble",
                StepKind.ASSEMBLE,
                TITLES[StepKind.ASSEMBLE],
                waits_for=Stage.DRY_THROUGH,
            )
        )
    if template.cure_before_install:
        steps.append(
            Step(
                "cure",
                StepKind.CURE,
                "Let it cure before it goes in place",
                waits_for=Stage.FULL_CURE,
            )
        )
    if template.install:
        steps.append(
            Step(
                "install",
                StepKind.INSTALL,
                TITLES[StepKind.INSTALL],
                waits_for=Stage.DRY_THROUGH,
            )
        )
    if template.release:
        hardened = finish.chemistry is not Chemistry.NON_CURING
        steps.append(
            Step(
                "release",
                StepKind.RELEASE,
                "Release to service: fully cured" if hardened else "Release to service",
                waits_for=Stage.FULL_CURE,
            )
        )
    return steps


def goes_on_wet(finish: Finish) -> bool:
    """Whether the next coat of a finish belongs on the last one while that is still wet."""
    return finish.stages[Stage.DRY_TO_RECOAT].high < finish.stages[Stage.SET_TO_TOUCH].low


def _stacks_wet(template: Template, finish: Finish) -> bool:
    """Coats go on wet only where nothing comes between them: no turning, no scuffing."""
    between = template.sides is Sides.TURNED or template.scuffing is Scuffing.ALWAYS
    return goes_on_wet(finish) and not between


def _leaves_film(finish: Finish) -> bool:
    """A finish that is not wiped off stands as a film; a coat on a wet film lifts it."""
    return finish.wipe_off_minutes is None and finish.chemistry is not Chemistry.NON_CURING


def _method(template: Template, finish: Finish) -> str:
    """Return the template's method, or the finish's first where it can't go on that way."""
    if not finish.methods or template.method in finish.methods:
        return template.method
    return finish.methods[0]


def _timed(template: Template, step: Step) -> Step:
    """Return the step with the template's minutes and note."""
    for name in (step.key.replace("-", " "), f"{step.kind.value} {step.method}", step.kind.value):
        if name in template.minutes:
            minutes = template.minutes[name]
            break
    else:
        minutes = NO_MINUTES
    return replace(
        step,
        minutes_fixed=minutes.fixed,
        minutes_per_m2=minutes.per_m2,
        note=template.notes.get(step.key, ""),
    )
