"""What every dialog has in common."""

from __future__ import annotations

from typing import TypeVar

from textual.await_complete import AwaitComplete
from textual.screen import ModalScreen
from textual.widget import Widget

Answered = TypeVar("Answered")


class Dialog(ModalScreen[Answered]):
    """A screen over the others that goes with an answer."""

    def dismiss(self, result: Answered | None = None) -> AwaitComplete:
        """Go, and leave nothing of what was drawn: the toolkit keeps the last thousand drawings."""
        for node in self.walk_children(Widget, with_self=True):
            node.refresh()
        return super().dismiss(result)
