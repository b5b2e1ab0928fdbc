"""Why there is no plan, or none by a date, and why a step is when it is: as text and as JSON."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from finplan.cli import show
from finplan.cli.output import heading, paragraph, say
from finplan.cli.shapes import step_json

if TYPE_CHECKING:
    from finplan.planning.ask import Answer
    from finplan.planning.hindered import Hindrance, TooLate
    from finplan.planning.plan import Deadline, PlannedStep
    from finplan.planning.request import NoPlan
    from finplan.planning.ways_out import Way
    from finplan.services.planned import Planned


def print_no_plan(hindrances: Sequence[Hindrance], zone: ZoneInfo) -> None:
    """Print what leaves no plan, set by set, and what would free it."""
    heading("No plan is possible")
    _print_hindrances(hindrances, zone)


def print_too_late(late: TooLate, zone: ZoneInfo) -> None:
    """Print why a date cannot be met, and what to drop or change so that it can."""
    from finplan.planning.hindered import NOT_ALL_DROPPED

    heading(f"Not safely ready by {show.day(late.by)}, but on {show.moment(late.ready, zone)}")
    _print_hindrances(late.hindrances, zone)
    if late.drops:
        say("  or, with all else as it is, any one of these:")
        _print_ways(late.drops, zone)
    elif late.closest is not None:
        tried = "" if late.all_drops_tried else " that was tried"
        say(f"  nothing else{tried} meets the date; this comes closest:")
        _print_ways((late.closest,), zone)
    if not late.all_drops_tried:
        paragraph(NOT_ALL_DROPPED, "    ", "  ")


def print_window_missed(hindrances: Sequence[Hindrance], zone: ZoneInfo) -> None:
    """Print what keeps a coat from going on in its window, under what is said of the coat."""
    say("  it goes on after the recoat window has closed: scuff the surface first")
    _print_hindrances(hindrances, zone)


def _print_hindrances(hindrances: Sequence[Hindrance], zone: ZoneInfo) -> None:
    from finplan.planning.hindered import frees, together, untried, when_ready

    for number, one in enumerate(hindrances):
        if number:
            say("  and besides:")
        if one.fact:
            paragraph(one.fact, "    ", "  ")
        for place, reason in enumerate(one.reasons):
            paragraph(reason.said, "        ", "   and  " if place else "  since ")
        if one.ways:
            say(f"  {frees(one, number)}")
            for way in one.ways:
                _print_way(way, when_ready(one, way, ": ready {}", zone))
        elif one.reasons and one.all_tried:
            say("  no single change frees it")
        for sentence in untried(one):
            paragraph(sentence, "    ", "  ")
    for sentence in together(tuple(hindrances)):
        paragraph(sentence, "    ", "  ")


def _print_ways(ways: Sequence[Way], zone: ZoneInfo) -> None:
    for way in ways:
        _print_way(way, f": ready {show.moment(way.ready, zone)}")


def _print_way(way: Way, ready: str) -> None:
    from finplan.planning.hindered import in_full

    paragraph(f"{in_full(way)}{ready}", "      ", "    ")


def no_plan_json(fault: NoPlan, hindrances: Sequence[Hindrance]) -> dict[str, Any]:
    """Return why there is no plan; ``ready`` is null and there are no steps."""
    request = fault.request
    return {
        "projects": [one.name for one in request.projects] if request else [],
        "now": show.iso(request.now) if request else None,
        "method": "infeasible",
        "ready": None,
        "steps": [],
        "fault": str(fault),
        "hindrances": [_hindrance_json(one) for one in hindrances],
    }


def deadline_json(deadline: Deadline | None, late: TooLate | None) -> dict[str, Any] | None:
    """Return what planning backwards came to, with the way out where the date cannot be met."""
    if deadline is None:
        return None
    return {
        "by": deadline.by.isoformat(),
        "met": deadline.met,
        "begin_by": show.iso(deadline.begin),
        "days_to_spare": deadline.spare_days,
        "said": deadline.said,
        "hindrances": [_hindrance_json(one) for one in late.hindrances] if late else [],
        "drops": [_way_json(one) for one in late.drops] if late else [],
        "closest": _way_json(late.closest) if late and late.closest else None,
        "all_drops_tried": late.all_drops_tried if late else True,
    }


def why_json(
    planned: Planned,
    step: PlannedStep,
    missed: Sequence[Hindrance],
    slack: dt.timedelta | None,
    answer: Answer | None,
) -> dict[str, Any]:
    """Return why a step is when it is; ``slack_hours`` and ``at`` are null where not asked for."""
    from finplan.planning.explain import why

    found = why(planned.plan, step.id)
    return {
        **step_json(step),
        "chain": [one.id for one in found.chain[:-1]],
        "window_missed": [_hindrance_json(one) for one in missed],
        "slack_hours": slack // dt.timedelta(hours=1) if slack is not None else None,
        "at": {"possible": answer.possible, "said": answer.short or answer.sentence}
        if answer
        else None,
    }


def _hindrance_json(one: Hindrance) -> dict[str, Any]:
    return {
        "fact": one.fact,
        "reasons": [
            {"kind": reason.kind.value, "about": reason.subject, "said": reason.said}
            for reason in one.reasons
        ],
        "ways": [
            {**_way_json(way), "ready": show.iso(way.ready) if one.dated else None}
            for way in one.ways
        ],
        "smallest": one.smallest,
        "all_ways_tried": one.all_tried,
    }


def _way_json(way: Way) -> dict[str, Any]:
    return {"about": way.about, "ready": show.iso(way.ready), "least": way.least}
