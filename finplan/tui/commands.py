"""Every action in the command palette, with its key."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import TYPE_CHECKING, cast

from textual.binding import ActiveBinding
from textual.command import DiscoveryHit, Hit, Hits, Provider
from textual.dom import DOMNode

from finplan.tui.keys import MOVES, in_order
from finplan.tui.models.paint import tidy
from finplan.tui.widgets.top_bar import AREAS

if TYPE_CHECKING:
    from finplan.tui.app import FinplanApp

Action = tuple[str, str, str]
"""Words, key, and the action to run."""

APP_ACTIONS: tuple[Action, ...] = (
    ("New project or sample", "N", "area('start')"),
    ("Look for a better plan", "t", "think"),
    ("The date: how sure, and what brings it forward", "D", "date"),
    ("Undo what was done last", "u", "undo"),
    ("Redo what was undone", "r", "redo"),
    ("Copy the list", "y", "copy"),
    ("Copy the list to a file", "Y", "copy_file"),
    ("Next project", "space", "next_project"),
    ("The workshop: work hours, days off, rooms", "S", "area('workshop')"),
    ("Next workshop", "W", "next_workshop"),
    ("Inches and °F, or metric", "F8", "other_units"),
    ("Light or dark colours", "F9", "other_theme"),
    ("Read the data again", "F5", "reload"),
    ("Help for this screen", "?", "explain"),
    ("Quit", "q", "quit"),
)


class Actions(Provider):
    """Areas, the actions of the current screen, and those of the program."""

    def _actions(self) -> Iterator[tuple[Action, DOMNode]]:
        here = [
            one
            for one in in_order(self.screen.active_bindings.values())
            if one.binding.description and one.node is not self.app
        ]
        moves = [one for one in here if one.binding.id in MOVES]
        yield from (self._here(one) for one in here if one not in moves)
        for key, area, name in AREAS:
            yield (f"Go to {name}", key, f"area('{area}')"), self.app
        yield from ((action, self.app) for action in APP_ACTIONS)
        view = cast("FinplanApp", self.app).view
        for project in view.projects if view else ():
            words = f"Project: {tidy(project.title, 60)}"
            yield (words, "", f"project({project.name!r})"), self.app
        for name in view.workshops if view and len(view.workshops) > 1 else ():
            yield (f"Workshop: {tidy(name, 60)}", "W", f"workshop({name!r})"), self.app
        yield from (self._here(one) for one in moves)

    def _here(self, active: ActiveBinding) -> tuple[Action, DOMNode]:
        binding = active.binding
        key = self.app.get_key_display(binding)
        return (f"Here: {binding.description}", key, binding.action), active.node

    def _run(self, action: str, node: DOMNode) -> None:
        app = cast("FinplanApp", self.app)
        app.call_later(app.run_action, action, node)

    async def discover(self) -> Hits:
        """Show everything before a word is typed."""
        for (words, key, action), node in self._actions():
            run = partial(self._run, action, node)
            yield DiscoveryHit(f"{words}  ·  {key}", run, text=words)

    async def search(self, query: str) -> Hits:
        """Match what is typed against the words of the actions."""
        matcher = self.matcher(query)
        for (words, key, action), node in self._actions():
            score = matcher.match(words)
            if score > 0:
                run = partial(self._run, action, node)
                yield Hit(score, matcher.highlight(words), run, text=words, help=f"key: {key}")
