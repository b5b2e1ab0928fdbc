"""Lines with roles turned into strips in the colours of the theme."""

from __future__ import annotations

from typing import ClassVar

from rich.segment import Segment
from rich.style import Style
from textual.app import App
from textual.strip import Strip
from textual.widget import Widget

from finplan.tui.models.paint import Line, Role, scrub

CURSOR, CURSOR_AWAY = "cursor", "cursor-away"


class RoleApp(App[None]):
    """An application that knows the colours of the roles, from ``styles/base.tcss``.

    They are the same everywhere: found once here, not for every widget that draws with them.
    """

    COMPONENT_CLASSES: ClassVar[set[str]] = {f"role--{role.value}" for role in Role} | {
        f"role--{CURSOR}",
        f"role--{CURSOR_AWAY}",
    }


class Painter(Widget):
    """A widget that draws lines of roles, in a ``RoleApp``."""

    def notify_style_update(self) -> None:
        """Look the colours up again."""
        super().notify_style_update()
        self._looks: dict[str, Style] = {}

    def role_style(self, role: str) -> Style:
        """Return the style of a role on this widget's background."""
        found = self._looks.get(role)
        if found is None:
            found = self._looks[role] = self._look(role)
        return found

    def _look(self, role: str) -> Style:
        if role == Role.PLAIN:
            return self.rich_style
        own = self.app.get_component_styles(f"role--{role}")
        behind = self.background_colors[1] + own.background
        color, background = (behind + own.color).rich_color, behind.rich_color if behind.a else None
        return self.rich_style + own.text_style + Style.from_color(color, background)

    def cursor_style(self) -> Style:
        """Return the background of the row under the cursor."""
        return self.role_style(CURSOR if self.has_focus else CURSOR_AWAY).background_style

    def paint(self, runs: Line, width: int, over: Style | None = None) -> Strip:
        """Return the line as a strip of ``width`` cells; ``over`` replaces the background."""
        segments = []
        for run in runs:
            style = self.role_style(run.role)
            segments.append(Segment(scrub(run.text), style + over if over else style))
        base = self.role_style(Role.PLAIN)
        fill = base + over if over else base
        return Strip(segments).adjust_cell_length(width, fill).simplify()
