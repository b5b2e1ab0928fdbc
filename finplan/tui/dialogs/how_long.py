"""How long a finish takes: the answer stands below the questions, which stay to be changed."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, ClassVar

from textual import work
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widgets import Static
from textual.worker import get_current_worker

from finplan.trade.errors import BadInput
from finplan.tui.dialogs.form import FormDialog
from finplan.tui.models.forms import Form
from finplan.tui.models.paint import tidy
from finplan.tui.settings import Memory

Asked = Callable[[Mapping[str, Any]], str]
"""Answers what the form asked in words; may take a while."""


class HowLong(FormDialog):
    """Answers on enter and stays open, so that the next question changes only what differs."""

    HELP = "Enter answers below. Change what you like and ask again; esc goes back."

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "back", "Back", id="how_long.back"),
        Binding("enter", "save", "Answer", id="how_long.answer"),
    ]

    def __init__(self, form: Form, memory: Memory, asked: Asked) -> None:
        super().__init__(form, memory)
        self._asked = asked

    def on_mount(self) -> None:
        """Make room for the answer, and answer the question as it stands."""
        self.query_one("#sheet").mount(Static("", id="how-long"), after="#form-fault")
        self.action_save()

    def action_save(self) -> None:
        """Answer, or go to the first field that cannot be read."""
        values = self.understood()
        if values is not None:
            self._answer(values)

    @work(thread=True, exclusive=True, group="ask", exit_on_error=False)
    def _answer(self, values: Mapping[str, Any]) -> None:
        worker = get_current_worker()
        try:
            words = self._asked(values)
        except BadInput as fault:
            words = f"✗ {tidy(str(fault))}"
        if not worker.is_cancelled:
            self.app.call_from_thread(self._show, words)

    def _show(self, words: str) -> None:
        if self.is_attached:
            self.query_one("#how-long", Static).update(Content(words))
