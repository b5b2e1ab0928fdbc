"""One legible message while the terminal is smaller than the screens need."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.screen import ModalScreen
from textual.widgets import Static

LEAST_WIDTH, LEAST_HEIGHT = 60, 16


class TooSmall(ModalScreen[None]):
    """Says how large the terminal is and should be; goes away by itself."""

    def compose(self) -> ComposeResult:
        """The message."""
        yield Static(id="too-small")

    def on_mount(self) -> None:
        """Say the sizes."""
        self.say(self.app.size.width, self.app.size.height)

    def on_screen_resume(self) -> None:
        """Go away where the terminal has become large enough meanwhile."""
        self.app.call_later(self.app.fit)  # type: ignore[attr-defined]

    def say(self, width: int, height: int) -> None:
        """Say the sizes."""
        needed = f"finplan needs {LEAST_WIDTH}×{LEAST_HEIGHT},"
        words = f"{needed}\nthis is {width}×{height}.\nMake it larger."
        self.query_one("#too-small", Static).update(words)
