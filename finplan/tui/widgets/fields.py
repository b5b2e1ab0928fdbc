"""The questions of a form one below the other, what stands beside them drawn in one go."""

from __future__ import annotations

from collections.abc import Mapping

from textual.app import ComposeResult
from textual.strip import Strip
from textual.widgets import Input

from finplan.tui.models.forms import Field
from finplan.tui.models.paint import Role, fill, line
from finplan.tui.widgets.choice import Choice
from finplan.tui.widgets.painter import Painter

LABEL, INPUT = 10, 28
"""Cells of the labels and of the fields, as ``styles/dialogs.tcss`` has them."""
SHORT_INPUT, NARROW = 16, 60
"""Cells of the fields in a form so narrow that a date echoed beside them would be cut."""
FAULTY = "✗ see below"


class Fields(Painter):
    """A field a line: its label on the left, how its text was understood on the right."""

    def __init__(self, fields: tuple[Field, ...], texts: Mapping[str, str]) -> None:
        super().__init__(id="fields")
        self._fields = fields
        self._texts = texts
        self._echoes: Mapping[str, str] = {}
        self._cells = INPUT

    def compose(self) -> ComposeResult:
        """What is typed in, or picked."""
        for one in self._fields:
            text, name = self._texts[one.key], f"field-{one.key}"
            if one.choices:
                yield Choice(one.choices, text, id=name)
            else:
                yield Input(text, placeholder=one.hint, compact=True, id=name)

    def _typed(self) -> int:
        return SHORT_INPUT if self.size.width < NARROW else INPUT

    def on_resize(self) -> None:
        """Leave room for what is echoed."""
        if self._typed() != self._cells:
            self._cells = self._typed()
            for one in self.query(Input):
                one.styles.width = self._cells

    def show(self, echoes: Mapping[str, str]) -> None:
        """Show how the texts were understood."""
        self._echoes = echoes
        self.refresh()

    def echo(self, key: str) -> str:
        """Return how a text was understood."""
        return self._echoes.get(key, "")

    def render_line(self, y: int) -> Strip:
        """Return what stands beside a field; the field itself lies over it."""
        width = self.size.width
        if y >= len(self._fields):
            return self.paint((), width)
        one = self._fields[y]
        label = (fill(one.label, LABEL), Role.QUIET)
        if one.choices:
            return self.paint(line(label), width)
        echo = self.echo(one.key)
        role = Role.BAD if echo == FAULTY else Role.GOOD
        typed = self._typed()
        echo = fill(echo, max(width - LABEL - typed - 1, 0))
        return self.paint(line(label, " " * (typed + 1), (echo, role)), width)
