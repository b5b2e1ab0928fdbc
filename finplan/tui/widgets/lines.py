"""A panel of lines that scrolls when they are more than fit."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from textual.content import Content
from textual.geometry import Size
from textual.message import Message
from textual.scroll_view import ScrollView
from textual.strip import Strip
from textual.widget import Widget

from finplan.tui.models.paint import Line, join, tidy
from finplan.tui.widgets.painter import Painter

UNLIMITED = 10_000
"""A height at which nothing is left out."""

Drawing = Callable[[int, int], tuple[Line, ...]]


def entitle(panel: Widget, title: str) -> None:
    """Give a panel its title; a name in it is text, never markup."""
    panel.border_title = Content(tidy(title)).markup


class Lines(Painter, ScrollView, can_focus=False):
    """Lines made for the room there is: ``draw(width, height)`` returns them."""

    class Fitted(Message):
        """There is another room for the lines now, and they are made for it."""

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id, classes=classes)
        self._draw: Drawing = lambda width, height: ()
        self._lines: tuple[Line, ...] = ()

    def show(self, draw: Drawing) -> None:
        """Draw with ``draw`` from now on."""
        self._draw = draw
        self._redraw()
        if self.styles.is_auto_height:
            self.refresh(layout=True)

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """Return the height all lines need; ``max-height`` may allow less."""
        return max(len(self._draw(width, viewport.height)), 1)

    def _redraw(self) -> None:
        width, height = self.scrollable_content_region.size
        if width <= 0:
            return
        self._lines = self._draw(width, height)
        self.virtual_size = Size(width, len(self._lines))
        self.refresh()

    def on_resize(self) -> None:
        """Make the lines again for the new room."""
        self._redraw()
        self.post_message(self.Fitted())

    def watch_show_vertical_scrollbar(self) -> None:
        """Make room for the scroll bar, or take its room back."""
        self.call_after_refresh(self._redraw)

    def render_line(self, y: int) -> Strip:
        """Return the strip at ``y`` of the visible part."""
        index = y + self.scroll_offset.y
        width = self.scrollable_content_region.width
        runs = self._lines[index] if index < len(self._lines) else ()
        return self.paint(runs, width)

    def in_full(self, width: int) -> tuple[Line, ...]:
        """Return all lines for a width, as many as there are."""
        return self._draw(width, UNLIMITED)

    def to_copy(self) -> Callable[[], str]:
        """Return what makes plain text of the lines that show now."""
        return partial(join, self._lines)
