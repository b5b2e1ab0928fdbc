"""Other finishes that would serve the same use, with the steps they take."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from finplan.planning.request import PlanRequest
from finplan.trade.coverage import step_litres
from finplan.trade.finishes import Finish
from finplan.trade.names import counted
from finplan.trade.project import Batch, Project
from finplan.trade.schedules import Sides, Template, expand
from finplan.trade.steps import Step, StepKind
from finplan.trade.surfaces import total_areas


@dataclass(frozen=True, slots=True)
class OtherFinish:
    """A finish in place of the present one, and the batch's steps with it."""

    finish: Finish
    present: Finish
    steps: tuple[Step, ...]
    about: str

    def cost(self, project: Project, batch: Batch) -> float | None:
        """What its likely litres cost more than the present ones; None without both prices."""
        if self.finish.price_per_l is None or self.present.price_per_l is None:
            return None
        areas = total_areas(part for part in project.parts if part.name in batch.parts)

        def cost(steps: tuple[Step, ...], finish: Finish, price_per_l: float) -> float:
            coats = (step for step in steps if step.finish == finish.name)
            return price_per_l * sum(step_litres(step, finish, areas).likely for step in coats)

        now = cost(batch.steps, self.present, self.present.price_per_l)
        return cost(self.steps, self.finish, self.finish.price_per_l) - now


def other_finishes(
    request: PlanRequest, batch: Batch, templates: Mapping[str, Template]
) -> Iterator[OtherFinish]:
    """Each finish that serves the same use as a batch's only one.

    Where it takes the same steps they stay; else the steps are those of a finishing schedule
    made for it.
    """
    coats = [step for step in batch.steps if step.kind is StepKind.COAT]
    names = {step.finish for step in coats}
    now = request.finishes.get(names.pop() or "") if len(names) == 1 else None
    if now is None:
        return
    count = max(step.coat for step in coats)
    for other in request.finishes.values():
        if other.name == now.name or not _serves(other, now):
            continue
        instead = f"{other.title} instead of {now.title} on {batch.name}"
        if _takes_the_same_steps(other, now, count):
            steps = tuple(
                replace(step, finish=other.name) if step.finish == now.name else step
                for step in batch.steps
            )
            yield OtherFinish(other, now, steps, instead)
            continue
        made_for = next((one for one in templates.values() if one.finish == other.name), None)
        if made_for is not None:
            fitted = _fitted(made_for, batch)
            many = counted(round(fitted.coats.value), "coat")
            about = f"{instead}, in {many} as is usual for it"
            yield OtherFinish(other, now, expand(fitted, other), about)


def _serves(other: Finish, now: Finish) -> bool:
    """Whether a finish serves a use of the present one, and stands the weather if that does."""
    return bool(set(other.uses) & set(now.uses)) and (other.outdoors or not now.outdoors)


def _takes_the_same_steps(other: Finish, now: Finish, coats: int) -> bool:
    same_wiping = (other.wipe_off_minutes is None) == (now.wipe_off_minutes is None)
    return same_wiping and other.coats.low <= coats <= other.coats.high


def _fitted(template: Template, batch: Batch) -> Template:
    """A template with the batch's sides, and of the steps around the coats those it has."""
    kinds = {step.kind for step in batch.steps}
    grits = next((step.grits for step in batch.steps if step.kind is StepKind.SAND), ())
    return replace(
        template,
        sides=Sides.TURNED if StepKind.TURN in kinds else Sides.ALL_AT_ONCE,
        prepare=next((one.title for one in batch.steps if one.kind is StepKind.PREPARE), ""),
        grits=grits,
        assemble=StepKind.ASSEMBLE in kinds,
        install=StepKind.INSTALL in kinds,
        release=StepKind.RELEASE in kinds,
    )
