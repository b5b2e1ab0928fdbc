"""One of a few words, picked with the left and right arrows or space."""

from __future__ import annotations

from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.message import Message
from textual.strip import Strip

from finplan.tui.models.paint import Role, line
from finplan.tui.widgets.painter import Painter


class Choice(Painter, can_focus=True):
    """Shows the picked word between arrows."""

    HELP = "The left and right arrows, or space, pick another word."

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left,h", "turn(-1)", "Before", show=False, id="choice.before"),
        Binding("right,l,space", "turn(1)", "Next", show=False, id="choice.next"),
    ]

    class Changed(Message):
        """Another word is picked."""

        def __init__(self, choice: Choice, value: str) -> None:
            self.choice = choice
            self.value = value
            super().__init__()

    def __init__(self, choices: tuple[tuple[str, str], ...], value: str, *, id: str) -> None:  # noqa: A002
        super().__init__(id=id)
        self._choices = choices
        values = [key for key, _ in choices]
        self._index = values.index(value) if value in values else 0

    def render_line(self, y: int) -> Strip:
        """Return the word between its arrows."""
        word = self._choices[self._index][1]
        role = Role.CHOSEN if self.has_focus else Role.STRONG
        return self.paint(
            line(("‹ ", Role.KEY), (f" {word} ", role), (" ›", Role.KEY)), self.size.width
        )

    def action_turn(self, by: int) -> None:
        """Pick the word before or after."""
        self._index = (self._index + by) % len(self._choices)
        self.post_message(self.Changed(self, self._choices[self._index][0]))
        self.refresh()

    def on_click(self) -> None:
        """A click picks the next word."""
        self.action_turn(1)

    def on_focus(self) -> None:
        """Show that keys go here."""
        self.refresh()

    def on_blur(self) -> None:
        """Show that keys go elsewhere."""
        self.refresh()
