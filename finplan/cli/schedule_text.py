"""A project's finishing schedules as text: every step with what it waits for and what it takes."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from finplan.cli import show
from finplan.cli.output import heading, paragraph, print_json, say
from finplan.trade.quantities import M2_PER_FT2, Units

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterator

    from finplan.planning.plan import PlannedStep
    from finplan.services.planned import Planned
    from finplan.trade.project import Batch, Project
    from finplan.trade.steps import Step


def print_schedule(
    project: Project, seen: Planned | None, units: Units, *, as_json: bool = False
) -> None:
    """Print the steps of each batch in order, with what became of each in the plan.

    The key in brackets is what verbs take.
    """
    if as_json:
        print_json({"project": project.name, "steps": list(_plain(project, seen))})
        return
    for number, batch in enumerate(project.batches):
        if number:
            say()
        heading(f"{batch.name} in {batch.space}: {', '.join(batch.parts) or 'no part'}")
        for step in batch.steps:
            paragraph(f"{step.title} ({step.key}){_told(step, units)}", "    ", "  ")
            for one in _dated(project, batch, step, seen):
                load = f"load {one.load} of {one.loads}: " if one.loads > 1 else ""
                when = show.moment(_at(one), seen.zone) if seen else ""
                paragraph(f"{load}{_state(one)} {when}", "      ", "    ")
    if not project.batches:
        say("No batch with a finishing schedule yet.")


def _plain(project: Project, seen: Planned | None) -> Iterator[dict[str, Any]]:
    for batch in project.batches:
        for step in batch.steps:
            yield {
                "batch": batch.name,
                "step": step.key,
                "kind": step.kind.value,
                "title": step.title,
                "waits_for": step.waits_for.value if step.waits_for else None,
                "wait_hours": step.wait_hours,
                "only_if_window_missed": step.only_if_window_missed,
                "minutes_per_m2": step.minutes_per_m2,
                "minutes_a_load": step.minutes_fixed,
                "loads": [
                    {"load": one.load, "state": _state(one), "at": show.iso(_at(one))}
                    for one in _dated(project, batch, step, seen)
                ],
            }


def _dated(
    project: Project, batch: Batch, step: Step, seen: Planned | None
) -> tuple[PlannedStep, ...]:
    """Return the dated step of each load behind one of the schedule; none without a plan."""
    own = seen.steps_of(project.name) if seen else ()
    return tuple(one for one in own if (one.batch, one.step) == (batch.name, step.key))


def _state(one: PlannedStep) -> str:
    return "left out" if one.skipped else "done" if one.done else "planned"


def _at(one: PlannedStep) -> dt.datetime:
    return one.end if one.done else one.start


def _told(step: Step, units: Units) -> str:
    facts = []
    if step.waits_for is not None:
        facts.append(f"once the coat below is {step.waits_for.value}")
    if step.wait_hours:
        facts.append(f"{step.wait_hours * 60:g} min after the step before")
    if step.only_if_window_missed:
        facts.append("only if the recoat window was missed")
    if step.minutes_per_m2:
        imperial = units is Units.IMPERIAL
        share, area = (M2_PER_FT2, "ft²") if imperial else (1.0, "m²")
        facts.append(f"{step.minutes_per_m2 * share:.3g} min a {area}")
    if step.minutes_fixed:
        facts.append(f"{step.minutes_fixed:g} min a load")
    return f": {'; '.join(facts)}" if facts else ""
