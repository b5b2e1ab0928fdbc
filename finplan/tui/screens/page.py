"""What every area has: the top line, the footer, and the view it shows."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, cast

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.screen import Screen
from textual.widget import Widget

from finplan.planning.plan import PlannedStep
from finplan.tui.dialogs.search import SearchLine
from finplan.tui.dialogs.sheet import Sheet
from finplan.tui.models.paint import Line, Role, line
from finplan.tui.models.view import View
from finplan.tui.widgets.key_line import KeyLine
from finplan.tui.widgets.lines import Lines
from finplan.tui.widgets.table_view import TableView
from finplan.tui.widgets.top_bar import PROGRAM, TopBar

if TYPE_CHECKING:
    from finplan.tui.app import FinplanApp


LEAST_LOWER = 3
"""Lines below which a second panel is not worth its title."""


class Page(Screen[None]):
    """An area of the program. Subclasses yield their body and show a view."""

    AREA = ""
    HELP = ""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("slash", "search", "Search", show=False, id="list.search", key_display="/"),
        Binding("v", "view_panels", "All panels in full", show=False, id="page.panels"),
        Binding("escape", "show_all", "Show all rows", show=False, id="list.all"),
    ]

    def __init__(self) -> None:
        super().__init__()
        # A new screen is dressed by the style sheet as it stands: it has missed no change of it.
        self._css_update_count = getattr(self.app, "_css_update_count", self._css_update_count)

    @property
    def owner(self) -> FinplanApp:
        """The application, with its own methods."""
        return cast("FinplanApp", self.app)

    def compose(self) -> ComposeResult:
        """Top line, body, footer."""
        yield TopBar(self.AREA)
        yield from self.body()
        yield KeyLine()

    def body(self) -> ComposeResult:
        """The widgets between top line and footer."""
        raise NotImplementedError

    def show(self, view: View) -> None:
        """Show a view; called on every new one while the page is up."""
        raise NotImplementedError

    def show_again(self) -> None:
        """Show the view at hand anew, where one was read yet."""
        if self.owner.view is not None:
            self.show(self.owner.view)

    def on_screen_resume(self) -> None:
        """See that the terminal is large enough here too."""
        self.owner.call_later(self.owner.fit)

    def on_resize(self) -> None:
        """Share out the room anew."""
        self.call_after_refresh(self.share_room)

    def share_room(self) -> None:
        """Give what a short list leaves free to something else; does nothing where none does."""

    def give_room(self, upper: Widget, lower: Widget, needed: int) -> None:
        """Show ``lower`` below ``upper`` where that needs but part of the room they both have.

        Wide screens have their own layout.
        """
        room = upper.outer_size.height + (lower.outer_size.height if lower.display else 0)
        free = not self.has_class("-wide") and room - needed >= LEAST_LOWER
        assert upper.parent is not None
        upper.parent.set_class(free, "-room")

    def on_mount(self) -> None:
        """Follow the application's view and clock."""
        self.watch(self.app, "view", self._arrived)
        self.watch(self.app, "clock_words", self.query_one(TopBar).show_clock)

    def _arrived(self, view: View | None) -> None:
        if view is not None:
            several = view.planned is not None and len(view.workshops) > 1
            name = view.planned.workshop.name if view.planned and several else PROGRAM
            self.query_one(TopBar).show_workshop(name)
            self.show(view)
            self.call_after_refresh(self.owner.showed, view)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Offer the search where there is a list, all rows where some are left out."""
        if action == "search":
            return bool(self.query(TableView))
        if action == "show_all":
            return any(table.words for table in self.query(TableView))
        return super().check_action(action, parameters)

    def action_search(self) -> None:
        """Look for words in the list that has the focus, or in the first one."""
        table = self.focused if isinstance(self.focused, TableView) else None
        table = table or next(iter(self.query(TableView)), None)
        if table is not None:
            self.app.push_screen(SearchLine(table))

    def action_view_panels(self) -> None:
        """Show every panel of the page in full, one below the other."""
        panels = [panel for panel in self.query(Lines) if panel.border_title]

        def draw(width: int, height: int) -> tuple[Line, ...]:
            lines: list[Line] = []
            for panel in panels:
                title = line((Content.from_markup(panel.border_title or "").plain, Role.HEADING))
                lines += [title, *panel.in_full(width), ()]
            return tuple(lines)

        self.app.push_screen(Sheet("In full", draw))

    def action_show_all(self) -> None:
        """Drop the filters of the lists."""
        for table in self.query(TableView):
            table.words = ""


class StepPage(Page):
    """An area with a chosen step, which the step keys act on."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("d", "step('done')", "Done", id="step.done"),
        Binding("c", "step('check')", "Check dry", id="step.check"),
        Binding("s", "step('skip')", "Leave out", show=False, id="step.skip"),
        Binding("a", "step('repeat')", "Do again", show=False, id="step.repeat"),
        Binding("e", "step('wish')", "Wish an hour", show=False, id="step.wish"),
        Binding("m", "step('note')", "Note", show=False, id="step.note"),
    ]

    def chosen_step(self) -> PlannedStep | None:
        """Return the step the keys act on."""
        raise NotImplementedError

    def on_screen_resume(self) -> None:
        """Look again for what may not be known any more."""
        self.find_slack()

    def find_slack(self) -> None:
        """Have it found out how much later the chosen step can start, while the page is up."""
        if self.is_current:
            self.owner.find_slack(self.chosen_step())

    def action_step(self, action: str) -> None:
        """Ask the form for an action on the chosen step."""
        step = self.chosen_step()
        if step is None:
            self.app.notify("No step is chosen here.", markup=False)
        else:
            self.owner.ask_about(step, action)

    def action_details(self) -> None:
        """Show the chosen step in full."""
        step = self.chosen_step()
        if step is not None:
            self.owner.show_step(step)
