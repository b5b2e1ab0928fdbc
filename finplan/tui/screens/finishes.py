"""The library of finishes with the source of every number."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical

from finplan.trade.finishes import Finish
from finplan.tui.dialogs.how_long import HowLong
from finplan.tui.dialogs.sheet import Sheet
from finplan.tui.models.finishes import finish_lines, finish_table
from finplan.tui.models.how_long import answer_words, how_long_form
from finplan.tui.models.paint import Line
from finplan.tui.models.view import View
from finplan.tui.screens.page import Page
from finplan.tui.widgets.lines import Lines, entitle
from finplan.tui.widgets.table_view import TableView


class FinishesPage(Page):
    """Finishes, and one of them in full."""

    AREA = "finishes"
    HELP = (
        "All finishes, your own among them. Enter shows one in full, with every source. "
        "h says how long it takes in some air, and what heating or drying the air would change."
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("slash", "search", "Search", id="list.search", key_display="/"),
        Binding("h", "how_long", "How long", id="finish.how_long"),
    ]

    def body(self) -> ComposeResult:
        """The list, and one finish in full."""
        with Horizontal(id="finishes-page"):
            with Vertical(id="finishes-panel", classes="panel"):
                yield TableView(id="finishes")
            yield Lines(id="finish", classes="panel")

    def show(self, view: View) -> None:
        """List the finishes."""
        finishes = self._finishes(view)
        entitle(self.query_one("#finishes-panel"), f"Finishes · {len(finishes)}")
        self.query_one("#finishes", TableView).show(finish_table(finishes, view.measures))
        self._explain()

    def _finishes(self, view: View) -> tuple[Finish, ...]:
        return tuple(view.finishes[name] for name in sorted(view.finishes))

    def on_table_view_moved(self) -> None:
        """Show another finish."""
        self._explain()

    def on_table_view_chosen(self) -> None:
        """Enter shows the finish on a sheet that scrolls."""
        if self.query_one("#finishes", TableView).key:
            self.app.push_screen(Sheet("Finish", lambda w, h: self._lines(w)))

    def _lines(self, width: int) -> tuple[Line, ...]:
        from finplan.library.load import cautions
        from finplan.services.finishes import facts_of
        from finplan.services.learned import told_of

        view = self.owner.view
        key = self.query_one("#finishes", TableView).key
        finish = view.finishes.get(key) if view else None
        if view is None or finish is None:
            return ()
        known = cautions()
        words = tuple(known[one].text for one in finish.cautions if one in known)
        learned: tuple[str, ...] = ()
        if view.planned is not None:
            taught, shop = view.planned.taught.items(), view.planned.workshop.name
            of_this = {place: belief for place, belief in taught if place[0] == key}
            learned = tuple(one.sentence for one in told_of(of_this, shop, view.finishes))
        facts = facts_of(finish, view.measures.units)
        return finish_lines(finish, facts, learned, words, width, view.measures)

    def action_how_long(self) -> None:
        """Ask how long the finish takes."""
        view, key = self.owner.view, self.query_one("#finishes", TableView).key
        if view is not None and view.planned is None:
            self.owner.say("There is no room yet to ask about: N begins a project.")
        elif view is not None and view.planned is not None and key in view.finishes:
            form, workshop = how_long_form(view, view.planned.finishes[key]), view.planned.workshop
            self.app.push_screen(
                HowLong(
                    form,
                    self.owner.memory,
                    lambda asked: answer_words(self.owner.shop.dry(key, workshop.name, asked)),
                )
            )

    def _explain(self) -> None:
        panel = self.query_one("#finish", Lines)
        entitle(panel, "Every number and its source")
        panel.show(lambda w, h: self._lines(w))
