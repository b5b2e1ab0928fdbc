"""Upkeep: the pieces in use, what comes and why, the years ahead, and what was done."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical

from finplan.tracking.upkeep.pieces import UpkeepEntry
from finplan.trade.errors import BadInput
from finplan.tui.models.cared import Care
from finplan.tui.models.upkeep import piece_lines, piece_table
from finplan.tui.models.upkeep_history import history_table
from finplan.tui.models.upkeep_years import year_lines
from finplan.tui.models.view import View
from finplan.tui.reading_app import FEW_YEARS, MANY_YEARS, REST_S
from finplan.tui.screens.upkeep_actions import UpkeepActions
from finplan.tui.widgets.lines import Lines, entitle
from finplan.tui.widgets.table_view import TableView

if TYPE_CHECKING:
    from textual.timer import Timer

    from finplan.services.upkeep import PieceSeen
    from finplan.tui.shop_upkeep import Downtime


class UpkeepPage(UpkeepActions):
    """Pieces in use over the years."""

    AREA = "upkeep"
    HELP = (
        "The pieces in use, the most pressing first: ! overdue, ● due, ▲ something found, ◐ soon, "
        "✓ holds. c records a look (drops of water, greying, mildew), d a cleaning or renewal; "
        "the next dates move by themselves. i installs a piece, e changes the marked piece or "
        "entry, b keeps days free, n plans the next renewal as a project, s shows the care sheet "
        "for whoever lives with it, x looks five or ten years ahead, o takes a piece out of use. "
        "In the chart ● is a renewal, ∿ a cleaning, ◇ a look, ✓ what was done."
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("x", "years", "Five or ten years", show=False, id="upkeep.years"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._downtimes: dict[str, Downtime] = {}
        self._waiting: Timer | None = None

    def body(self) -> ComposeResult:
        """Pieces and years, and beside or between them the marked piece and its history."""
        with Horizontal(id="upkeep-page"):
            with Vertical(id="upkeep-main"):
                with Vertical(id="pieces-panel", classes="panel"):
                    yield TableView(id="pieces")
                yield Lines(id="upkeep-years", classes="panel")
            with Vertical(id="upkeep-side"):
                yield Lines(id="piece", classes="panel")
                with Vertical(id="history-panel", classes="panel"):
                    yield TableView(header=False, id="history")

    def on_mount(self) -> None:
        """Follow the upkeep and the years asked for too."""
        super().on_mount()
        self.watch(self.app, "care", self._cared, init=False)
        self.watch(self.app, "years", self.show_again, init=False)

    def _cared(self) -> None:
        """Show what is new; the best times are looked for again."""
        self._downtimes = {}
        self.show_again()

    def show(self, view: View) -> None:
        """Show the pieces and the years."""
        care, years = self.owner.care, self.owner.years
        count = f" · {len(care.pieces)}" if care else ""
        entitle(self.query_one("#pieces-panel"), f"In use{count}")
        self.query_one("#pieces", TableView).show(piece_table(view, care))
        chart = self.query_one("#upkeep-years", Lines)
        entitle(chart, f"This year and the next {years} · ● renew ∿ clean ◇ look ✓ done")
        chart.show(lambda w, h: year_lines(view, care, w, h))
        self._explain()

    def chosen(self) -> PieceSeen | None:
        """Return the piece under the cursor."""
        key, care = self.query_one("#pieces", TableView).key, self.owner.care
        return (
            next((seen for seen in care.pieces if seen.piece.name == key), None) if care else None
        )

    def chosen_entry(self) -> UpkeepEntry | None:
        """Return the entry under the cursor of the history."""
        seen, key = self.chosen(), self.query_one("#history", TableView).key
        return next((e for e in seen.entries if str(e.uid) == key), None) if seen else None

    def on_table_view_moved(self, event: TableView.Moved) -> None:
        """Explain another piece."""
        if event.view.id == "pieces":
            self._explain()

    def on_table_view_chosen(self) -> None:
        """Enter on a piece or an entry changes it; on a finished project it installs it."""
        self.action_edit()

    def _explain(self) -> None:
        view, seen = self.owner.view, self.chosen()
        if view is None:
            return
        panel = self.query_one("#piece", Lines)
        title = f"{seen.piece.title}, {seen.piece.place}" if seen else "This piece"
        entitle(panel, title)
        downtime = self._downtimes.get(seen.piece.name) if seen else None
        panel.show(lambda w, h: piece_lines(view, seen, downtime, w, h))
        entitle(self.query_one("#history-panel"), "History")
        self.query_one("#history", TableView).show(history_table(seen, view.measures))
        if seen is not None and downtime is None:
            self._look_soon(seen.piece.name)

    def _look_soon(self, name: str) -> None:
        """Look for the best time once the cursor rests."""
        if self._waiting is not None:
            self._waiting.stop()
        self._waiting = self.set_timer(REST_S, lambda: self._look_for_downtime(name))

    @work(thread=True, exclusive=True, group="downtime", exit_on_error=False)
    def _look_for_downtime(self, name: str) -> None:
        care = self.owner.care
        try:
            found = self.owner.shop.downtime_of(name)
        except BadInput:
            return  # the piece is gone; the next reading shows it
        self.app.call_from_thread(self._found, name, care, found)

    def _found(self, name: str, care: Care | None, found: Downtime) -> None:
        if care is self.owner.care and self.is_attached:
            self._downtimes[name] = found
            self._explain()

    def action_years(self) -> None:
        """Look five or ten years ahead."""
        self.owner.years = MANY_YEARS if self.owner.years == FEW_YEARS else FEW_YEARS
