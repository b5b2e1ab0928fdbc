"""The care sheet over the screen, to be read, copied, or written to a file."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual.binding import Binding, BindingType

from finplan.tui.dialogs.sheet import Sheet
from finplan.tui.widgets.lines import Drawing


class CareDialog(Sheet):
    """A care sheet; ``w`` writes it as text."""

    HELP = "The arrows scroll, y copies, w writes the sheet to a text file, esc closes."

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("w", "write('text')", "Write as text", id="care.text"),
    ]

    def __init__(self, title: str, draw: Drawing, write: Callable[[str], str]) -> None:
        super().__init__(title, draw)
        self._write = write

    def action_write(self, kind: str) -> None:
        """Write the sheet, and say where it is."""
        self.app.notify(self._write(kind), markup=False)
