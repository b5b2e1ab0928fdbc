"""``plan`` and ``why``: the dated plan, and what a step waits for."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

import click

from finplan.cli import show
from finplan.cli.options import json_option, session, verb
from finplan.cli.output import heading, paragraph, print_json, say
from finplan.trade.errors import BadInput
from finplan.trade.steps import of_loads

if TYPE_CHECKING:
    from zoneinfo import ZoneInfo

    from finplan.planning.hindered import Hindrance, TooLate
    from finplan.planning.plan import PlannedStep
    from finplan.planning.request import NoPlan
    from finplan.services.planned import Planned

LONGEST_SECONDS = 3600.0


@verb("plan")
@click.argument("projects", metavar="PROJECT...", nargs=-1)
@click.option("--seconds", type=float, default=0.0, help="time for finding a better plan")
@click.option(
    "--one-thread", is_flag=True, help="search with one thread: the same plan again, or it says so"
)
@click.option("--ready-by", metavar="DATE", help="plan backwards: as late as is safe")
@click.option("--all", "with_done", is_flag=True, help="print the steps done too, or every change")
@click.option("--short", is_flag=True, help="one line a step")
@click.option("--changes", "with_changes", is_flag=True, help="print what moved, not the plan")
@json_option
def plan_verb(
    projects: tuple[str, ...],
    *,
    seconds: float,
    one_thread: bool,
    ready_by: str | None,
    with_done: bool,
    short: bool,
    with_changes: bool,
    as_json: bool,
) -> None:
    """Print the dated plan of one project or more.

    All projects of a workshop are planned together, since they share people and rack; without
    PROJECT those of the workshop with the next work are printed. What a longer search found is
    kept: later plans hold to it until something better or something recorded moves it. Ctrl-C
    ends the search early; the best plan so far is printed.
    """
    from finplan.cli.hindered import deadline_json
    from finplan.cli.moved import print_changes
    from finplan.cli.plan_text import print_closing, print_plan, print_short_plan
    from finplan.cli.shapes import plan_json
    from finplan.cli.stopping import ctrl_c_stops
    from finplan.planning.request import NoPlan
    from finplan.services.keep import keep
    from finplan.services.planned import planned
    from finplan.services.when import zone_for
    from finplan.trade.moments import parse_date

    if not 0.0 <= seconds <= LONGEST_SECONDS:
        raise BadInput(f"{seconds:g}: give 0 to {LONGEST_SECONDS:g}", "--seconds")
    with session() as opened:
        day = None
        if ready_by is not None:
            day = parse_date(ready_by, opened.now, zone_for(opened).key, "--ready-by")
        try:
            with ctrl_c_stops() as stop:
                seen = planned(
                    opened,
                    projects,
                    seconds=seconds,
                    ready_by=day,
                    workers=1 if one_thread else 2,
                    cancelled=stop.is_set,
                )
        except NoPlan as fault:
            _say_why_not(fault, zone_for(opened), as_json=as_json)
            raise
        if stop.is_set():
            click.echo("stopped: this is the best plan so far", err=True)
        units = opened.units
        if seconds > 0.0:
            keep(opened, seen, seen.changes)
    late = _too_late(seen)
    if as_json:
        told = deadline_json(seen.plan.deadline, late)
        plans = [{**plan_json(seen, name), "deadline": told} for name in seen.shown]
        print_json(plans[0] if len(plans) == 1 else {"plans": plans})
        return
    if with_changes:
        print_changes(seen, in_full=with_done)
        return
    _print_deadline(seen, late)
    for place, name in enumerate(seen.shown):
        if place or seen.plan.deadline is not None:
            say()
        if short:
            print_short_plan(seen, name, with_done=with_done)
        else:
            print_plan(seen, name, units, with_done=with_done)
    if not short:
        print_closing(seen)


def _print_deadline(seen: Planned, late: TooLate | None) -> None:
    """Say when work has to begin for the date asked for, or why that cannot be met."""
    from finplan.cli.hindered import print_too_late

    if late is not None:
        print_too_late(late, seen.zone)
    elif seen.plan.deadline is not None:
        paragraph(f"{seen.plan.deadline.said}.", "  ", "")


def _say_why_not(fault: NoPlan, zone: ZoneInfo, *, as_json: bool) -> None:
    """Say what leaves no plan, before the fault goes its way to stderr."""
    from finplan.cli.hindered import no_plan_json, print_no_plan
    from finplan.library.load import templates
    from finplan.planning.hindered import why_no_plan

    found = why_no_plan(fault.request, templates()) if fault.request is not None else ()
    if as_json:
        print_json(no_plan_json(fault, found))
    elif found:
        print_no_plan(found, zone)


def _too_late(seen: Planned) -> TooLate | None:
    """Why a date asked for cannot be met; None where none was, or it can."""
    deadline = seen.plan.deadline
    if deadline is None or deadline.met:
        return None
    from finplan.library.load import templates
    from finplan.planning.hindered import why_too_late

    return why_too_late(seen.request, deadline.by, templates())


@verb("why")
@click.argument("project")
@click.argument("step", nargs=-1, required=True)
@click.option("--at", metavar="WHEN", help="say why it is not at this hour")
@click.option("--slack", "with_slack", is_flag=True, help="say how much later it can start")
@json_option
def why_verb(
    project: str, step: tuple[str, ...], *, at: str | None, with_slack: bool, as_json: bool
) -> None:
    """Say what a step waits for, and with --at why it does not start then.

    STEP is a planned id, batch/load/step, or words that fit one step alone.
    """
    from finplan.cli.hindered import print_window_missed, why_json
    from finplan.planning.ask import slack, slack_said, why_not
    from finplan.planning.dress import MISSED
    from finplan.planning.hindered import why_window_missed
    from finplan.services.planned import planned
    from finplan.services.steps import find_step
    from finplan.trade.moments import parse_moment

    with session() as opened:
        seen = planned(opened, [project])
        meant = find_step(seen.steps_of(project), " ".join(step), project)
        wished = parse_moment(at, opened.now, seen.zone, "--at") if at is not None else None
    missed: tuple[Hindrance, ...] = ()
    if any(meant.title in one and MISSED in one for one in seen.plan.warnings):
        missed = why_window_missed(seen.request, meant.id)
    later: dt.timedelta | None = None
    if with_slack and not meant.done:
        later = slack(seen.request, seen.plan, meant.id)
    answer = why_not(seen.request, seen.plan, meant.id, wished) if wished is not None else None
    if as_json:
        print_json(why_json(seen, meant, missed, later, answer))
        return
    _print_why(seen, meant)
    if missed:
        print_window_missed(missed, seen.zone)
    if later is not None:
        paragraph(slack_said(later), "    ", "  ")
    if wished is not None and answer is not None:
        paragraph(
            f"at {show.moment(wished, seen.zone)}: {answer.short or answer.sentence}", "    ", "  "
        )


def _print_why(seen: Planned, step: PlannedStep) -> None:
    from finplan.planning.explain import why
    from finplan.planning.words import reached

    zone = seen.zone
    load = of_loads(step.load, step.loads)
    heading(f"{step.title} ({step.batch}{load})")
    if step.done:
        say(f"  done {show.moment(step.end, zone)}")
        return
    say(f"  planned for {show.moment(step.start, zone)}")
    found = why(seen.plan, step.id)
    paragraph(found.reason, "  ", "  ")
    wait = step.waits_for
    if wait is not None and not found.reason.startswith("Waits until"):
        times = f"{show.moment(wait.safe, zone)} safe, {show.moment(wait.likely, zone)} likely"
        paragraph(f"the coat below is {reached(wait.stage)}: {times}", "  ", "  ")
    if len(found.chain) > 1:
        say("  what leads to it, with when each is over:")
    for one in found.chain[:-1]:
        done = "done " if one.done else ""
        paragraph(
            f"{one.title} ({one.batch}): {done}{show.moment(one.end, zone)}", "      ", "    "
        )


@verb("levers")
@click.argument("project")
@json_option
def levers_verb(project: str, as_json: bool) -> None:
    """Say what would bring the date forward most.

    Each lever is pulled and everything planned again, for this project on its own; the dates
    are safe ones. Hours and rooms are changed by finplan workshop; the loads of a batch by
    least_loads = 2, and finish and sides by schedule = { template = "…", sides = "all at once" },
    in the project's file: finplan save, change it, finplan load.
    """
    from finplan.planning.levers import untried_in_words
    from finplan.services.levers import levers_of

    with session() as opened:
        found = levers_of(opened, project)
    if as_json:
        print_json(
            {
                "project": project,
                "ready": show.iso(found.ready),
                "levers": [
                    {
                        "name": one.name,
                        "about": one.about,
                        "ready": show.iso(one.ready),
                        "gain_hours": round(one.gain.total_seconds() / 3600, 2),
                        "cost": one.cost,
                    }
                    for one in found.pulled.levers
                ],
                "not_pulled": list(found.pulled.untried),
            }
        )
        return
    alone = " on its own" if found.alone else ""
    say(f"{project}{alone} is safely ready {show.moment(found.ready, found.zone)}.")
    same = [one.about for one in found.pulled.levers if abs(one.gain) < dt.timedelta(minutes=1)]
    for one in found.pulled.levers:
        minutes = one.gain.total_seconds() / 60
        if abs(minutes) < 1:
            continue
        gain = f"{show.duration(abs(minutes))} {'sooner' if minutes > 0 else 'later'}"
        cost = f", {one.cost:+.2f} for the finish" if one.cost is not None else ""
        paragraph(f"{one.about}{cost}", " " * 20, f"{gain:<18}  ")
    if same:
        paragraph("; ".join(same), " " * 20, f"{'no change':<18}  ")
    if untried := untried_in_words(found.pulled):
        paragraph(untried)
