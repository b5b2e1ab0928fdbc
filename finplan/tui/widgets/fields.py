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
    """A field a line: its label on the left, how its text was understood on the right.

    That of a wide field stands on a line of its own below it.
    """

    def __init__(self, fields: tuple[Field, ...], texts: Mapping[str, str]) -> None:
        super().__init__(id="fields")
        self._fields = fields
        self._of_line = [at for at, one in enumerate(fields) for _ in range(1 + one.wide)]
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
                kind = "wide" if one.wide else ""
                yield Input(text, placeholder=one.hint, compact=True, id=name, classes=kind)

    def _typed(self) -> int:
        return SHORT_INPUT if self.size.width < NARROW else INPUT

    def on_resize(self) -> None:
        """Leave room for what is echoed."""
        if self._typed() != self._cells:
            self._cells = self._typed()
            for one in self.query(Input).exclude(".wide"):
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
        if y >= len(self._of_line):
            return self.paint((), width)
        at = self._of_line[y]
        one, below = self._fields[at], y > 0 and self._of_line[y - 1] == at
        label = fill("" if below else one.label, LABEL)
        if one.choices or (one.wide and not below):
            return self.paint(line((label, Role.QUIET)), width)
        echo = self.echo(one.key)
        role = Role.BAD if echo == FAULTY else Role.GOOD
        before = "" if below else " " * (self._typed() + 1)
        echo = fill(echo, max(width - LABEL - len(before), 0))
        return self.paint(line((label, Role.QUIET), before, (echo, role)), width)
