"""The date of a project over the screen: it fills as the answers come, and takes another date."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Sequence
from typing import ClassVar

from textual import work
from textual.binding import Binding, BindingType
from textual.worker import get_current_worker

from finplan.tui.dialogs.sheet import Sheet
from finplan.tui.models.date import Said, date_lines
from finplan.tui.models.paint import Line
from finplan.tui.shop_dates import Tell

About = Callable[[dt.date | None, Tell, Callable[[], bool]], None]
"""Answers about a date, part by part; may take a while."""

AskDate = Callable[[dt.date | None, Callable[[dt.date], None]], None]
"""Asks for another date than the one shown, and hands it on."""


class DateSheet(Sheet):
    """What a date hangs on, looked for in the background; esc stops looking."""

    HELP = (
        "When the project is ready and whether that could be sooner, by when work has to begin, "
        "how sure the date is, and what would bring it forward. Answers come one after the other. "
        "b asks about another date, y copies, esc closes."
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("b", "another_date", "By another date", id="date.by"),
    ]

    def __init__(self, title: str, about: About, ask: AskDate) -> None:
        super().__init__(title, self._lines)
        self._about, self._ask = about, ask
        self._by: dt.date | None = None
        self._told: dict[str, Sequence[Said]] = {}

    def _lines(self, width: int, height: int) -> tuple[Line, ...]:
        return date_lines(self._told, width)

    def on_mount(self) -> None:
        """Begin to look."""
        super().on_mount()
        self._look(None)

    @work(thread=True, exclusive=True, group="date", exit_on_error=False)
    def _look(self, by: dt.date | None) -> None:
        worker = get_current_worker()

        def tell(part: str, said: Sequence[Said]) -> None:
            if not worker.is_cancelled:
                self.app.call_from_thread(self._show, part, said)

        self._about(by, tell, lambda: worker.is_cancelled)

    def _show(self, part: str, said: Sequence[Said]) -> None:
        if self.is_attached:
            self._told[part] = said
            self.draw_again()

    def action_another_date(self) -> None:
        """Ask for a date, and look again for it."""
        self._ask(self._by, self._look_again)

    def _look_again(self, by: dt.date) -> None:
        self._by = by
        self._told.clear()
        self.draw_again()
        self._look(by)
