"""Looking for a better plan in the background, and saying what it gained."""

from __future__ import annotations

import time
from collections.abc import Callable

from finplan.planning.plan import Method
from finplan.tui.models.paint import tidy
from finplan.tui.models.times import length
from finplan.tui.models.view import View

THINK_S = 8.0
WAY_EVERY_S, WAY_S = 0.002, 0.0001
"""How often, and for how long, a search lets the screens run. Assumption: measured, a key is then
painted nearly as soon as without a search, and the search finds as much."""


def giving_way(stopped: Callable[[], bool]) -> Callable[[], bool]:
    """Return ``stopped``, asked as often, which lets other threads run now and then.

    A thread that waits for the interpreter gets it after 5 ms otherwise, each time it has waited
    for anything, and painting one key waits several times.
    """
    last_s = -WAY_EVERY_S

    def asked() -> bool:
        nonlocal last_s
        if time.monotonic() - last_s >= WAY_EVERY_S:
            time.sleep(WAY_S)
            last_s = time.monotonic()
        return stopped()

    return asked


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
        several = len(after.projects) > 1  # those that are not last may still be ready sooner
        return f"The plan stands: none can {'have all' if several else 'be'} ready sooner."
    return "No better plan was found in that time; the plan stands."
