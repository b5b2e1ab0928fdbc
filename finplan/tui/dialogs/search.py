"""The line in which words to look for are typed."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.widgets import Input, Label

from finplan.tui.dialogs.dialog import Dialog
from finplan.tui.widgets.table_view import TableView


class SearchLine(Dialog[None]):
    """Filters a table as the words are typed; enter keeps the filter, esc drops it."""

    HORIZONTAL_BREAKPOINTS = []  # noqa: RUF012
    VERTICAL_BREAKPOINTS = []  # noqa: RUF012

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "drop", "Show all rows", id="search.drop"),
    ]

    def __init__(self, view: TableView) -> None:
        super().__init__()
        self._view = view

    def compose(self) -> ComposeResult:
        """A label and the field."""
        with Horizontal(id="search"):
            yield Label("/ ")
            yield Input(self._view.words, compact=True, placeholder="words to look for; esc: all")

    def on_input_changed(self, event: Input.Changed) -> None:
        """Filter at once."""
        self._view.words = event.value

    def on_input_submitted(self) -> None:
        """Keep the filter."""
        self.dismiss(None)

    def action_drop(self) -> None:
        """Show all rows again."""
        self._view.words = ""
        self.dismiss(None)
