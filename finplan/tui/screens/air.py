"""The air of a space: curves, limits, good hours, and what it means now."""

from __future__ import annotations

from typing import Any, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal

from finplan.tui.models.air import SOURCES_TOLD, air_chart, air_words, reading_form, spaces_of
from finplan.tui.models.view import View
from finplan.tui.screens.page import Page
from finplan.tui.widgets.lines import Lines, entitle


class AirPage(Page):
    """Readings, forecast and normals of one space."""

    AREA = "air"
    HELP = (
        "Temperature with the dew point, and humidity, for the day past and the days to come. "
        "The strips below show the hours in which each finish may go on. a adds a reading."
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("a", "add", "Add a reading", id="air.add"),
        Binding("space", "next_space", "Next space", id="air.space"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._space = ""

    def body(self) -> ComposeResult:
        """The chart, and the words beside or below it."""
        with Horizontal(id="air-page"):
            yield Lines(id="air-chart", classes="panel")
            yield Lines(id="air-words", classes="panel")

    def show(self, view: View) -> None:
        """Draw the chosen space."""
        spaces = spaces_of(view)
        if self._space not in spaces:
            self._space = spaces[0] if spaces else ""
        space = self._space
        chart = self.query_one("#air-chart", Lines)
        entitle(chart, f"Air in {space} · {SOURCES_TOLD}" if space else "Air")
        chart.show(lambda w, h: air_chart(view, space, w, h))
        words = self.query_one("#air-words", Lines)
        entitle(words, "Now")
        words.show(lambda w, h: air_words(view, space, w))

    def action_next_space(self) -> None:
        """Show the next space."""
        view = self.owner.view
        spaces = spaces_of(view) if view else ()
        if view is not None and len(spaces) > 1:
            self._space = spaces[(spaces.index(self._space) + 1) % len(spaces)]
            self.show(view)

    def action_add(self) -> None:
        """Ask for a reading."""
        view, space = self.owner.view, self._space
        if view is None or view.planned is None or not space:
            self.owner.say("There is no room yet whose air to keep: N begins a project.")
            return
        workshop = view.planned.workshop.name

        def then(values: dict[str, Any]) -> None:
            self.owner.act("", lambda: self.owner.shop.add_reading(workshop, space, values))

        self.owner.ask(reading_form(view, space), then)
