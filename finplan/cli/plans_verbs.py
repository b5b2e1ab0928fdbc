"""``plan`` and ``why``: the dated plan, and what a step waits for."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from finplan.cli import show
from finplan.cli.options import json_option, session, verb
from finplan.cli.output import heading, paragraph, print_json, say
from finplan.trade.errors import BadInput

if TYPE_CHECKING:
    from finplan.planning.plan import PlannedStep
    from finplan.services.planned import Planned

LONGEST_SECONDS = 3600.0


@verb("plan")
@click.argument("projects", metavar="PROJECT...", nargs=-1)
@click.option("--seconds", type=float, default=0.0, help="time for finding a better plan")
@click.option("--ready-by", metavar="DATE", help="plan backwards: as late as is safe")
@click.option("--all", "with_done", is_flag=True, help="print the steps done too")
@json_option
def plan_verb(
    projects: tuple[str, ...], seconds: float, ready_by: str | None, with_done: bool, as_json: bool
) -> None:
    """Print the dated plan of one project or more.

    All projects of a workshop are planned together, since they share people and rack; without
    PROJECT those of the workshop with the next work are printed.
    """
    from finplan.cli.plan_text import print_plan
    from finplan.cli.shapes import plan_json
    from finplan.services.planned import planned
    from finplan.services.when import zone_for
    from finplan.trade.moments import parse_date

    if not 0.0 <= seconds <= LONGEST_SECONDS:
        raise BadInput(f"{seconds:g}: give 0 to {LONGEST_SECONDS:g}", "--seconds")
    with session() as opened:
        day = None
        if ready_by is not None:
            day = parse_date(ready_by, opened.now, zone_for(opened).key, "--ready-by")
        seen = planned(opened, projects, seconds=seconds, ready_by=day)
        units = opened.units
    if as_json:
        plans = [plan_json(seen, name) for name in seen.shown]
        print_json(plans[0] if len(plans) == 1 else {"plans": plans})
        return
    for place, name in enumerate(seen.shown):
        if place:
            say()
        print_plan(seen, name, units, with_done=with_done)


@verb("why")
@click.argument("project")
@click.argument("step", nargs=-1, required=True)
def why_verb(project: str, step: tuple[str, ...]) -> None:
    """Say what a step waits for.

    STEP is a planned id, batch/load/step, or words that fit one step alone.
    """
    from finplan.services.planned import planned
    from finplan.services.steps import find_step

    with session() as opened:
        seen = planned(opened, [project])
    meant = find_step(seen.steps_of(project), " ".join(step), project)
    _print_why(seen, meant)


def _print_why(seen: Planned, step: PlannedStep) -> None:
    zone = seen.zone
    load = f", load {step.load} of {step.loads}" if step.loads > 1 else ""
    heading(f"{step.title} ({step.batch}{load})")
    if step.done:
        say(f"  done {show.moment(step.end, zone)}")
        return
    paragraph(f"planned for {show.moment(step.start, zone)}", "  ", "  ")
    paragraph(step.reason or "it starts as soon as the plan does", "  ", "  ")
    steps = {one.id: one for one in seen.steps_of(step.project)}
    current: PlannedStep | None = step
    while current is not None and current.waits_for is not None:
        wait = current.waits_for
        below = steps.get(wait.step)
        title = below.title if below else wait.step
        paragraph(
            f"{current.title} waits for {wait.stage.value} of {title}: "
            f"{show.moment(wait.safe, zone)} safe, {show.moment(wait.likely, zone)} likely",
            "    ",
            "  ",
        )
        current = below if below is not None and not below.done else None
