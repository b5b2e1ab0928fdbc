"""A sheet of lines over the screen: a step in full, help, a message."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Label

from finplan.trade.names import counted
from finplan.tui.dialogs.dialog import Dialog
from finplan.tui.models.paint import tidy
from finplan.tui.widgets.key_line import KeyLine
from finplan.tui.widgets.lines import Drawing, Lines


class Sheet(Dialog[str | None]):
    """Lines that scroll; esc closes. Answers with the key of an action, or None."""

    HELP = "The arrows scroll, y copies, esc closes."

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,enter,q", "close", "Close", id="sheet.close"),
        Binding("y", "app.copy", "Copy", id="sheet.copy"),
        Binding("down,j", "scroll(1)", "Down", id="sheet.down"),
        Binding("up,k", "scroll(-1)", "Up", show=False, id="sheet.up"),
        Binding("pagedown,space", "scroll(8)", "Page down", show=False, id="sheet.page_down"),
        Binding("pageup", "scroll(-8)", "Page up", show=False, id="sheet.page_up"),
    ]

    def __init__(self, title: str, draw: Drawing) -> None:
        super().__init__()
        self._title = title
        self._draw = draw

    def compose(self) -> ComposeResult:
        """The title, the lines, the keys."""
        with Vertical(id="sheet", classes="tall"):
            yield Label(Content(tidy(self._title)), id="form-title")
            yield Lines(id="sheet-lines")
        yield KeyLine()

    def on_mount(self) -> None:
        """Draw the lines, and say where there are more of them."""
        lines = self.query_one("#sheet-lines", Lines)
        lines.show(self._draw)
        self.watch(lines, "scroll_y", self._say_more)
        self.watch(lines, "virtual_size", self._say_more)

    def on_lines_fitted(self) -> None:
        """Another room shows more of it, or less."""
        self._say_more()

    def draw_again(self) -> None:
        """Draw the lines anew, where there is more to tell."""
        self.query_one("#sheet-lines", Lines).show(self._draw)

    def _say_more(self) -> None:
        lines = self.query_one("#sheet-lines", Lines)
        below = lines.max_scroll_y - lines.scroll_offset.y
        more = f" · {counted(below, 'line')} more: ↓" if below > 0 else ""
        self.query_one("#form-title", Label).update(Content(tidy(self._title) + more))

    def action_close(self) -> None:
        """Go back."""
        self.dismiss(None)

    def action_scroll(self, by: int) -> None:
        """Move the lines."""
        self.query_one("#sheet-lines", Lines).scroll_relative(y=by, animate=False)


class StepSheet(Sheet):
    """A step in full; its keys record what was done with it."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("d", "answer('done')", "Done", id="sheet.done"),
        Binding("c", "answer('check')", "Check dry", id="sheet.check"),
        Binding("s", "answer('skip')", "Leave out", show=False, id="sheet.skip"),
    ]

    def on_mount(self) -> None:
        """Follow what is found out about the step."""
        self.watch(self.app, "slacks", self.draw_again, init=False)

    def action_answer(self, action: str) -> None:
        """Close, and say what to do with the step."""
        self.dismiss(action)
