"""What moved in a plan."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from finplan.cli import show
from finplan.cli.output import heading, paragraph, say
from finplan.trade.names import counted

if TYPE_CHECKING:
    from finplan.services.planned import Planned

_MOST = 3
"""More would push what matters off the screen."""


def print_moved(moved: tuple[str, ...]) -> None:
    """Print what moved by an entry: the first few, without what lies behind the reasons."""
    if not moved:
        say("The plan stays as it was.")
    for sentence in moved[:_MOST]:
        paragraph(f"{sentence.rstrip('.').split('. ', 1)[0]}.", "  ", "")
    if len(moved) > _MOST:
        more = counted(len(moved) - _MOST, "more change", "more changes")
        say(f"… and {more}: finplan plan --changes")


def print_changes(planned: Planned, *, in_full: bool = False) -> None:
    """Print what moved of the projects shown, by the last change of the data and since.

    Of the workshop's other projects only how much moved is said.

    Args:
        planned: the plan.
        in_full: every step that moved, one by one; else chains of steps are summed up.
    """
    from finplan.planning.summed_up import summed_up

    before = planned.request.before
    if before is None:
        say("No earlier plan is kept to compare with: one is, with the next thing recorded.")
        return
    when = show.moment(before.at, planned.zone)
    heading(f"Moved by the last change of the data, {when}")
    projects = before.moved_of or planned.shown[:1] * len(before.moved)
    each = list(zip(projects, before.moved, strict=True))
    short = list(zip(before.summed_up_of, before.summed_up, strict=True)) or each
    _print_own(each if in_full else short, planned.shown)
    heading("Moved since then")
    now = planned.changes
    told = now if in_full else summed_up(now)
    _print_own([(one.project, one.sentence) for one in told], planned.shown)
    if not in_full and (short != each or told != now):
        paragraph(f"Every step: finplan plan {' '.join(planned.shown)} --changes --all")


def _print_own(moved: Sequence[tuple[str, str]], shown: Sequence[str]) -> None:
    """Print what moved of some projects, and of how many others how much."""
    own = [sentence for project, sentence in moved if project in shown]
    others = [project for project, _ in moved if project not in shown]
    for sentence in own or ["Nothing."]:
        paragraph(sentence, "    ", "  ")
    if others:
        count, projects = len(others), sorted(set(others))
        also = f"{counted(count, 'change')} of {', '.join(projects)}"
        paragraph(f"And {also}: finplan plan {projects[0]} --changes", "    ", "  ")
