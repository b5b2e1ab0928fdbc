"""The screens by the name of their area; each is loaded when it is first gone to."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from finplan.tui.screens.page import Page

PAGES = (
    "bench",
    "timeline",
    "project",
    "coats",
    "journal",
    "air",
    "finishes",
    "upkeep",
    "start",
    "workshop",
)
"""Each is a module here with a class of the same name, ``bench.BenchPage``."""


def page(area: str) -> Page:
    """Return a new screen of an area."""
    module = import_module(f"finplan.tui.screens.{area}")
    made: Page = getattr(module, f"{area.capitalize()}Page")()
    return made


def load_all() -> None:
    """Load every screen, with the dialogs and widgets they use, and the forms of steps."""
    for area in PAGES:
        import_module(f"finplan.tui.screens.{area}")
    import_module("finplan.tui.steps")
    import_module("finplan.tui.dialogs.form")
    import_module("finplan.tui.dialogs.date")
