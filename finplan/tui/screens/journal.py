"""The journal: all entries, the last one first."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical

from finplan.journal.entries import Entry, EntryKind
from finplan.trade.names import counted
from finplan.tui.models.journal import entry_lines, journal_table
from finplan.tui.models.view import View
from finplan.tui.screens.page import Page
from finplan.tui.widgets.lines import Lines, entitle
from finplan.tui.widgets.table_view import TableView


class JournalPage(Page):
    """What happened."""

    AREA = "journal"
    HELP = (
        "Everything that was recorded, the last entry first. Nothing is ever erased: e writes a "
        "correction, u takes the last entry back, r brings it again, m keeps a note."
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("e", "correct", "Correct", id="journal.correct"),
        Binding("m", "note", "Note", id="journal.note"),
    ]

    def body(self) -> ComposeResult:
        """The list, and the entry in full."""
        with Horizontal(id="journal-page"):
            with Vertical(id="journal-panel", classes="panel"):
                yield TableView(id="journal")
            yield Lines(id="entry", classes="panel side")

    def show(self, view: View) -> None:
        """List the entries."""
        panel = self.query_one("#journal-panel")
        entitle(panel, f"Journal · {counted(len(view.entries), 'entry', 'entries')}")
        self.query_one("#journal", TableView).show(journal_table(view))
        self._explain()

    def chosen_entry(self) -> Entry | None:
        """Return the entry under the cursor."""
        view = self.owner.view
        key = self.query_one("#journal", TableView).key
        if view is None:
            return None
        return next((entry for entry in view.entries if str(entry.uid) == key), None)

    def on_table_view_moved(self) -> None:
        """Show another entry in full."""
        self._explain()

    def on_table_view_chosen(self) -> None:
        """Enter corrects the entry."""
        self.action_correct()

    def _explain(self) -> None:
        view, entry = self.owner.view, self.chosen_entry()
        if view is not None:
            panel = self.query_one("#entry", Lines)
            entitle(panel, "This entry")
            panel.show(lambda w, h: entry_lines(view, entry, w))

    def action_correct(self) -> None:
        """Ask what was wrong in the entry."""
        entry = self.chosen_entry()
        if entry is None or entry.kind in (EntryKind.UNDO, EntryKind.REDO, EntryKind.CORRECTION):
            self.app.notify("Choose an entry that says what happened.", markup=False)
        else:
            self.owner.ask_correction(entry)

    def action_note(self) -> None:
        """Ask for a note to keep with the project."""
        self.owner.ask_note()
