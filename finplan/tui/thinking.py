"""Looking for a better plan in the background, and saying what it gained."""

from __future__ import annotations

from finplan.planning.plan import Method
from finplan.tui.models.paint import tidy
from finplan.tui.models.times import length
from finplan.tui.models.view import View

THINK_S = 8.0


def gained(before: View, after: View) -> str:
    """Return in words what the later plan gains over the earlier one; empty where nothing."""
    if before.planned is None or after.planned is None:
        return ""
    words = []
    for project in after.projects:
        old, new = before.planned.ready_of(project.name), after.planned.ready_of(project.name)
        if old and new and new.safe < old.safe:
            words.append(f"{tidy(project.title, 40)} ready {length(old.safe - new.safe)} sooner")
    return ", ".join(words)


def verdict(before: View, after: View) -> str:
    """Return what looking for a better plan came to."""
    found = gained(before, after)
    if found:
        return f"A better plan: {found}."
    if after.planned is not None and after.planned.plan.method is Method.OPTIMAL:
        return "The plan stands: none can be ready sooner."
    return "No better plan was found in that time; the plan stands."
