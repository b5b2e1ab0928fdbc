"""The line at the foot: the keys that work now and what they do."""

from __future__ import annotations

from textual.screen import Screen
from textual.strip import Strip

from finplan.tui.models.paint import Role, line, width_of
from finplan.tui.widgets.painter import Painter


class KeyLine(Painter):
    """Shows the keys of the screen and of what has the focus; a click does what the key does."""

    def on_mount(self) -> None:
        """Follow the keys, which change with the focus."""
        self.live: tuple[tuple[str, str, str], ...] = ()
        self.screen.bindings_updated_signal.subscribe(self, self._show)

    def on_unmount(self) -> None:
        """Follow them no more."""
        self.screen.bindings_updated_signal.unsubscribe(self)

    def _show(self, screen: Screen[object]) -> None:
        """Take each action's first key, as it is pressed and as it is written, and its words."""
        live: dict[str, tuple[str, str, str]] = {}
        for active in screen.active_bindings.values():
            one = active.binding
            if one.show and active.enabled:
                shown = self.app.get_key_display(one)
                live.setdefault(one.action, (one.key, shown, one.description))
        if tuple(live.values()) != self.live:
            self.live = tuple(live.values())
            self.refresh()

    def render_line(self, y: int) -> Strip:
        """Return the keys, as many as there is room for."""
        strips = []
        for key, shown, words in self.live:
            runs = line((f" {shown} ", Role.KEY), f"{words} ")
            pressed = {"@click": f"app.simulate_key({key!r})"}
            strips.append(self.paint(runs, width_of(runs)).apply_meta(pressed))
        return Strip.join(strips).adjust_cell_length(self.size.width, self.role_style(Role.PLAIN))
