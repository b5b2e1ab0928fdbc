"""What moved in a plan."""

from __future__ import annotations

from typing import TYPE_CHECKING

from finplan.cli import show
from finplan.cli.output import heading, paragraph, say

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
        say(f"… and {len(moved) - _MOST} more moved: finplan plan --changes")


def print_changes(planned: Planned) -> None:
    """Print all that moved in a workshop's plan by the last change of the data, and since."""
    before = planned.request.before
    if before is None:
        say("No earlier plan is kept to compare with: one is, with the next thing recorded.")
        return
    when = show.moment(before.at, planned.zone)
    heading(f"Moved by the last change of the data, {when}")
    for sentence in before.moved or ("Nothing.",):
        paragraph(sentence, "    ", "  ")
    heading("Moved since then")
    for sentence in [one.sentence for one in planned.changes] or ["Nothing."]:
        paragraph(sentence, "    ", "  ")
