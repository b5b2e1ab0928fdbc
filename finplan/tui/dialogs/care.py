"""The care sheet over the screen, to be read, copied, or written to a file."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import ClassVar

from textual import work
from textual.binding import Binding, BindingType

from finplan.trade.errors import BadInput
from finplan.tui.dialogs.sheet import Sheet
from finplan.tui.models.paint import tidy
from finplan.tui.widgets.lines import Drawing


class CareDialog(Sheet):
    """A care sheet; its keys write it to a new file in the present folder.

    ``writers`` by kind write the sheet and return where it is.
    """

    HELP = "The arrows scroll, y copies, w writes a text file, f a PDF to print, esc closes."

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("w", "write('text')", "Write as text", id="care.text"),
        Binding("f", "write('pdf')", "Write as PDF", id="care.pdf"),
    ]

    def __init__(
        self, title: str, draw: Drawing, writers: Mapping[str, Callable[[], Path]]
    ) -> None:
        super().__init__(title, draw)
        self._writers = writers

    @work(thread=True, group="sheet", exit_on_error=False)
    def action_write(self, kind: str) -> None:
        """Write the sheet, and say where it is."""
        try:
            words = f"written to {self._writers[kind]()}"
        except BadInput as fault:
            words = f"Not written: {fault}."
        except OSError as fault:
            words = f"Not written: {fault.strerror or fault}."
        self.app.call_from_thread(self.app.notify, tidy(words), markup=False)
