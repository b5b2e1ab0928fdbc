"""The first start: nothing is in the database yet."""

from __future__ import annotations

from typing import Any, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical

from finplan.tui.models.paint import Line, Role, line, tidy, wrap
from finplan.tui.models.start import CUT_LIST, IN_USE, new_form, start_table
from finplan.tui.models.view import View
from finplan.tui.screens.page import Page
from finplan.tui.widgets.lines import Lines, entitle
from finplan.tui.widgets.table_view import TableView

WELCOME = (
    "finplan plans wood finishing: when each coat is really dry, when the next goes on, when the "
    "piece is ready, and what to do for years after."
)
HOW = "Arrows choose, enter begins. ? tells the keys, F8: {units}, q quits."
EMPTY = "There is no project here yet."


class Choices(TableView):
    """What to begin with, one a row."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "choose", "Begin", id="list.open"),
    ]


class StartPage(Page):
    """What to begin with."""

    AREA = "start"
    HELP = "Load a sample to look around, or begin with a project or a piece in use of your own."

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("q", "app.quit", "Quit", id="start.quit"),
    ]

    def body(self) -> ComposeResult:
        """A welcome and the choices."""
        with Vertical(id="start"):
            yield Lines(id="welcome")
            with Vertical(id="choices-panel", classes="panel"):
                yield Choices(header=False, id="choices")
            yield Lines(id="start-words")

    def show(self, view: View) -> None:
        """List what to begin with."""
        other = "inches, °F" if view.measures.metric else "metric units"
        first = EMPTY if not view.projects else "A new project, or another sample."
        self.query_one("#welcome", Lines).show(
            lambda w, h: (
                line((first, Role.HEADING)),
                (),
                *wrap(WELCOME, w),
                (),
                *wrap(HOW.format(units=other), w, Role.QUIET),
            )
        )
        entitle(self.query_one("#choices-panel"), "Begin with")
        self.query_one("#choices", TableView).show(start_table(self.owner.shop.samples()))
        self._explain()

    def on_table_view_moved(self) -> None:
        """Say in full what the marked row begins with."""
        self._explain()

    def _explain(self) -> None:
        row = self.query_one("#choices", TableView).row
        about = row.cells[1].text if row else ""
        told = "" if self.has_class("-tiny") else tidy(about)
        self.query_one("#start-words", Lines).show(
            lambda w, h: (*wrap(told, w, Role.STRONG), (), *_safety(w)) if told else _safety(w)
        )

    def on_table_view_chosen(self) -> None:
        """Enter begins."""
        self.action_begin()

    def action_begin(self) -> None:
        """Load the sample, or ask for a new project."""
        key = self.query_one("#choices", TableView).key
        if key.startswith("sample:"):
            name = key.removeprefix("sample:")
            self.owner.change(f"sample {name} loaded", lambda: self.owner.shop.load_sample(name))
        elif key == IN_USE:
            self.owner.action_area("upkeep")
        elif key:
            self._ask_new(from_list=key == CUT_LIST)

    def _ask_new(self, *, from_list: bool) -> None:
        view = self.owner.view
        if view is None:
            return
        shop = self.owner.shop
        choices = shop.choices()
        here = view.planned.workshop.name if view.planned else ""
        others = [name for name in view.workshops if name != here]
        form = new_form(
            choices.jobs,
            choices.woods,
            choices.hours,
            from_list=from_list,
            workshops=(here, *others) if here else (),
            now=view.now,
            zone=view.zone,
            measures=view.measures,
        )

        def then(values: dict[str, Any]) -> None:
            given = {"workshop": here, **values}
            self.owner.change(f"{values['title']} planned", lambda: shop.new_project(given))

        self.owner.ask(form, then)


def _safety(width: int) -> tuple[Line, ...]:
    return wrap(
        "▲ Times are estimates. The label, the safety data sheet and local rules come first; "
        "oily rags can catch fire by themselves.",
        width,
        Role.WATCH,
    )
