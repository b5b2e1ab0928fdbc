"""Lines with roles turned into strips in the colours of the theme."""

from __future__ import annotations

from typing import ClassVar

from rich.segment import Segment
from rich.style import Style
from textual.strip import Strip
from textual.widget import Widget

from finplan.tui.models.paint import Line, Role, scrub


class Painter(Widget):
    """A widget that draws lines of roles; the colours come from ``styles/roles.tcss``."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {f"role--{role.value}" for role in Role} | {
        "painter--cursor",
        "painter--cursor-away",
    }

    def role_style(self, role: Role) -> Style:
        """Return the style of a role on this widget's background."""
        return self.get_component_rich_style(f"role--{role.value}")

    def paint(self, runs: Line, width: int, over: Style | None = None) -> Strip:
        """Return the line as a strip of ``width`` cells; ``over`` replaces the background."""
        base = self.rich_style
        segments = []
        for run in runs:
            style = base if run.role is Role.PLAIN else base + self.role_style(run.role)
            segments.append(Segment(scrub(run.text), style + over if over else style))
        fill = base + over if over else base
        return Strip(segments).adjust_cell_length(width, fill).simplify()
