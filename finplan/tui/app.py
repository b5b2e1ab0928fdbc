"""The terminal application: its areas, its keys, and what is the same in all of them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

from textual import events, work
from textual.binding import Binding, BindingType
from textual.geometry import Size
from textual.screen import Screen

from finplan.trade.quantities import Units
from finplan.tui.commands import Actions
from finplan.tui.copying import copy, copy_to_file, listed
from finplan.tui.dialogs.sheet import Sheet, StepSheet
from finplan.tui.dialogs.too_small import LEAST_HEIGHT, LEAST_WIDTH, TooSmall
from finplan.tui.keys import in_order
from finplan.tui.screens.page import StepPage
from finplan.tui.screens.pages import PAGES, page
from finplan.tui.settings import Chosen, Memory
from finplan.tui.themes import DARK, LIGHT
from finplan.tui.widgets.top_bar import AREAS, TopBar
from finplan.tui.writing_app import WritingApp

if TYPE_CHECKING:
    from finplan.planning.plan import PlannedStep
    from finplan.tui.first_reading import FirstReading
    from finplan.tui.models.paint import Line
    from finplan.tui.shop import Shop

UNITS_TOLD = {
    Units.METRIC: "Metric units from now on; F8 goes back.",
    Units.IMPERIAL: "Inches, °F and fluid ounces from now on; F8 goes back.",
}


class FinplanApp(WritingApp):
    """finplan in the terminal."""

    TITLE = "finplan"
    CSS_PATH: ClassVar[list[str | Path]] = [  # type: ignore[assignment]
        "styles/base.tcss",
        "styles/pages.tcss",
        "styles/dialogs.tcss",
    ]
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (118, "-wide")]  # noqa: RUF012
    VERTICAL_BREAKPOINTS = [(0, "-tiny"), (20, "-short"), (32, "-tall")]  # noqa: RUF012
    COMMANDS = {Actions}  # noqa: RUF012
    COMMAND_PALETTE_BINDING = "f2"
    MODES = {area: partial(page, area) for area in PAGES}  # noqa: RUF012
    DEFAULT_MODE = "bench"

    BINDINGS: ClassVar[list[BindingType]] = [
        *(
            Binding(key, f"area('{area}')", name, show=False, id=f"area.{area}")
            for key, area, name in AREAS
        ),
        Binding("N", "area('start')", "New project", show=False, id="area.start"),
        Binding("S", "area('workshop')", "The workshop", show=False, id="area.workshop"),
        Binding("W", "next_workshop", "Next workshop", show=False, id="workshop.next"),
        Binding("t", "think", "Look for a better plan", show=False, id="think"),
        Binding("D", "date", "The date", show=False, id="date"),
        Binding("u", "undo", "Undo", id="undo"),
        Binding("r", "redo", "Redo", show=False, id="redo"),
        Binding("y", "copy", "Copy", show=False, id="copy"),
        Binding("Y", "copy_file", "Copy to a file", show=False, id="copy.file"),
        Binding("p", "command_palette", "All actions", show=False, id="palette"),
        Binding("f5", "reload", "Read again", show=False, id="reload"),
        Binding("f8", "other_units", "Inches or metric", show=False, id="units"),
        Binding("f9", "other_theme", "Light or dark", show=False, id="theme"),
        Binding("question_mark,f1", "explain", "Help", id="help", key_display="?"),
        Binding("q", "quit", "Quit", show=False, id="quit"),
    ]

    def __init__(
        self,
        shop: Shop,
        memory: Memory | None = None,
        chosen: Chosen | None = None,
        first: FirstReading | None = None,
    ) -> None:
        super().__init__(shop, memory or Memory(), first)
        chosen = chosen or Chosen()
        self.broke_on: Exception | None = None
        self.set_keymap(dict(chosen.keys))
        self.register_theme(DARK)
        self.register_theme(LIGHT)
        self.animation_level = "none"
        self._begin_with(chosen.colours or self.memory.colours or DARK.name)

    def _begin_with(self, theme: str) -> None:
        """Take a theme before anything shows.

        To assign it would read the whole style sheet a second time once the first screen is there.
        """
        self.set_reactive(FinplanApp.theme, theme)
        self.stylesheet.set_variables(self.get_css_variables())
        dark = self.current_theme.dark
        self.set_class(dark, "-dark-mode", update=False)
        self.set_class(not dark, "-light-mode", update=False)
        self._refresh_truecolor_filter(self.ansi_theme)

    def on_load(self) -> None:
        """Have the colours of the roles before anything is drawn."""
        self.stylesheet.apply(self)

    def _handle_exception(self, error: Exception) -> None:
        """End on a fault nobody foresaw with the terminal whole; who ran the app tells of it."""
        super()._handle_exception(error)
        self._exit_renderables.clear()
        self.broke_on = self.broke_on or error

    def get_theme_variable_defaults(self) -> dict[str, str]:
        """Return the colours of roles for themes that do not name them."""
        return (DARK if self.current_theme.dark else LIGHT).variables

    def on_resize(self, event: events.Resize) -> None:
        """Show one legible message while the terminal is too small."""
        self.fit(event.size)

    def fit(self, size: Size | None = None) -> None:
        """Show the message over the area at hand while the terminal is too small, else take it off.

        Each area has screens of its own over it, so this is asked again wherever one goes.
        """
        width, height = size or self.size
        small = width < LEAST_WIDTH or height < LEAST_HEIGHT
        if isinstance(self.screen, TooSmall):
            if small:
                self.screen.say(width, height)
            else:
                self.screen.dismiss(None)
        elif small:
            self.push_screen(TooSmall())

    def show_step(self, step: PlannedStep) -> None:
        """Show a step in full."""
        from finplan.tui.models.coats import chain_lines, step_lines

        view = self.view
        if view is None:
            return

        def answered(action: str | None) -> None:
            if action:
                self.ask_about(step, action)

        def draw(width: int, height: int) -> tuple[Line, ...]:
            told = step_lines(view, step, width, self.slacks)
            return (*told, *chain_lines(view, step, width))

        self.push_screen(StepSheet("This step", draw), answered)
        self.find_slack(step)

    def action_date(self) -> None:
        """Show what the date of the chosen project hangs on."""
        from finplan.tui.dialogs.date import DateSheet
        from finplan.tui.models.date import date_form
        from finplan.tui.models.paint import shorten, tidy

        view = self.view
        step = self.screen.chosen_step() if isinstance(self.screen, StepPage) else None
        project = self.project_of(view) if view else None
        if view is None or project is None:
            self.say("There is no plan to ask about a date.")
            return
        name = step.project if step is not None else project.name
        title = next(one.title for one in view.projects if one.name == name)

        def another(by: dt.date | None, then: Callable[[dt.date], None]) -> None:
            self.ask(date_form(name, by, view.now, view.zone), lambda given: then(given["by"]))

        about = partial(self.shop.about_date, name)
        self.push_screen(DateSheet(f"The date: {shorten(tidy(title), 40)}", about, another))

    def action_area(self, area: str) -> None:
        """Go to an area."""
        self.switch_mode(area)

    def on_top_bar_picked(self, event: TopBar.Picked) -> None:
        """Go to the area clicked on."""
        self.switch_mode(event.area)

    def action_reload(self) -> None:
        """Read the data again."""
        self.reload()

    def action_other_theme(self) -> None:
        """Change between dark and light."""
        self.theme = DARK.name if self.theme == LIGHT.name else LIGHT.name
        self.memory.keep_colours(self.theme)

    def action_other_units(self) -> None:
        """Change between metric units and inches, °F and fluid ounces."""
        view = self.view
        if view is None:
            return
        units = Units.IMPERIAL if view.measures.metric else Units.METRIC
        self.shop.units = units
        self.memory.keep_units(units)
        self.say(UNITS_TOLD[units])
        self.reload()

    def action_explain(self) -> None:
        """Explain the screen and what has the focus, with the keys that work now."""
        from finplan.tui.models.help import help_lines

        screen: Screen[Any] = self.screen
        texts = [getattr(node, "HELP", "") for node in (screen, screen.focused) if node is not None]
        keys: dict[str, list[str]] = {}
        for active in in_order(screen.active_bindings.values()):
            words = keys.setdefault(active.binding.description, [])
            words.append(self.get_key_display(active.binding))
        self.push_screen(Sheet("Help", lambda w, h: help_lines(texts, keys, w)))

    def action_copy(self) -> None:
        """Copy the list that has the focus, and say which way."""
        terminal = partial(self.call_from_thread, self.copy_to_clipboard)
        self._copy(partial(copy, listed(self), terminal))

    def action_copy_file(self) -> None:
        """Write the list that has the focus to a file."""
        self._copy(partial(copy_to_file, listed(self), f"finplan-{self.current_mode}"))

    @work(thread=True, group="copy", exit_on_error=False)
    def _copy(self, way: Callable[[], str]) -> None:
        self.call_from_thread(self.say, way())
