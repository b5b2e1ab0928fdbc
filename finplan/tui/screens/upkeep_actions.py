"""What can be done to a piece in use: the form to ask, and what to do with the answer."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

from textual.binding import Binding, BindingType

from finplan.tracking.upkeep.pieces import UpkeepEntry, UpkeepKind, Work, standing
from finplan.trade.errors import BadInput
from finplan.trade.names import counted
from finplan.tui import clipboard
from finplan.tui.dialogs.care import CareDialog
from finplan.tui.models.care import TEXT_WIDTH, care_lines
from finplan.tui.models.forms import Form
from finplan.tui.models.paint import join, text_of
from finplan.tui.models.piece_forms import block_form, fields_of, piece_form, said_of, stretch_of
from finplan.tui.models.upkeep import PROJECT, downtime_lines, today_of
from finplan.tui.models.upkeep_forms import done_form, given_of, gone_form, look_form, usual_kind
from finplan.tui.models.upkeep_history import last_told, last_written_piece, told_of
from finplan.tui.models.words import LABEL_CAUTION
from finplan.tui.screens.page import Page
from finplan.tui.widgets.table_view import TableView

if TYPE_CHECKING:
    from finplan.services.upkeep import PieceSeen

UNDOES = "u undoes"


class UpkeepActions(Page):
    """The keys that act on the marked piece and the marked entry of its history."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("c", "look", "Look over", id="upkeep.look"),
        Binding("d", "done", "Done", id="upkeep.done"),
        Binding("i", "install", "Install", id="upkeep.install"),
        Binding("e", "edit", "Change", show=False, id="upkeep.edit"),
        Binding("b", "block", "Keep days free", show=False, id="upkeep.block"),
        Binding("n", "plan", "Plan the renewal", show=False, id="upkeep.plan"),
        Binding("o", "gone", "Out of use", show=False, id="upkeep.gone"),
        Binding("s", "care", "Care sheet", show=False, id="upkeep.care"),
        Binding("u", "undo", "Undo", id="undo"),
        Binding("r", "redo", "Redo", show=False, id="redo"),
    ]

    def chosen(self) -> PieceSeen | None:
        """Return the piece the keys act on."""
        raise NotImplementedError

    def chosen_entry(self) -> UpkeepEntry | None:
        """Return the entry of its history that is marked."""
        raise NotImplementedError

    def action_install(self) -> None:
        """Ask for a piece that goes into use; a marked finished project tells most of it."""
        view, key = self.owner.view, self.query_one("#pieces", TableView).key
        if view is None:
            return
        shop, care = self.owner.shop, self.owner.care
        told: dict[str, Any] = {}
        if care is not None and care.pieces:
            last = max((seen.piece for seen in care.pieces), key=lambda one: one.installed)
            told = {"place": last.place, "zone": last.zone, "finish": last.finish}
        if key.startswith(PROJECT):
            project = key.removeprefix(PROJECT)
            try:
                told |= {**shop.told_by_project(project), "from": project}
            except BadInput as fault:  # one without a coat tells little: the form asks for it
                self.owner.complain(str(fault))
        form = piece_form(told, shop.piece_choices(), view.now, view.zone, view.measures)

        def then(values: dict[str, Any]) -> None:
            def install() -> str:
                seen = shop.install(said_of(values), told.get("from"))
                return f"{seen.piece.title} installed: {seen.outlook.next(Work.RENEWAL).sentence}"

            self.owner.keep(install)

        self.owner.ask(form, then)

    def action_edit(self) -> None:
        """Change the marked piece, or correct the marked entry where the history has the focus."""
        if self.query_one("#pieces", TableView).key.startswith(PROJECT):
            self.action_install()
            return
        seen = self._needed()
        if seen is None:
            return
        if self.query_one("#history", TableView).has_focus:
            self._correct(seen)
        else:
            self._change(seen)

    def _needed(self) -> PieceSeen | None:
        seen = self.chosen()
        if seen is None:
            self.owner.say("No piece is marked; i installs one.")
        return seen

    def _change(self, seen: PieceSeen) -> None:
        view, shop = self.owner.view, self.owner.shop
        if view is None:
            return
        name, version = seen.piece.name, shop.piece_version(seen.piece.name)
        told = fields_of(seen.piece)
        form = piece_form(
            told, shop.piece_choices(), view.now, view.zone, view.measures, change=True
        )

        def then(values: dict[str, Any]) -> None:
            changes = {k: value for k, value in said_of(values).items() if value != told[k]}
            if not changes:
                self.owner.say("Nothing was changed.")
                return

            def change() -> str:
                after = shop.change_piece(name, version, changes)
                return f"{after.piece.title} changed: {after.outlook.next(Work.RENEWAL).sentence}"

            self.owner.keep(change)

        self.owner.ask(form, then)

    def _correct(self, seen: PieceSeen) -> None:
        entry = self.chosen_entry()
        if entry is None or entry not in standing(seen.entries):
            self.owner.say("Mark an entry that counts; r brings back what was undone last.")
            return
        form = self._told_form(seen, entry.kind, entry)
        if form is None:
            return
        first = {one.key: one.read(one.initial)[0] for one in form.fields}
        before, shop = given_of(first), self.owner.shop

        def then(values: dict[str, Any]) -> None:
            changes = {k: value for k, value in given_of(values).items() if value != before[k]}
            if "kind" in values and values["kind"] != entry.kind.value:
                changes["kind"] = UpkeepKind(values["kind"])
            if not changes:
                self.owner.say("Nothing was changed.")
                return

            def correct() -> str:
                return f"corrected: {told_of(shop.correct_upkeep(entry, changes), seen)}"

            self.owner.keep(correct, UNDOES)

        self.owner.ask(form, then)

    def _told_form(
        self, seen: PieceSeen, kind: UpkeepKind, entry: UpkeepEntry | None
    ) -> Form | None:
        """Return the form about a look, or about work done."""
        from finplan.library.load import cautions, upkeep_defaults

        view = self.owner.view
        if view is None:
            return None
        last = last_told(self.owner.care)
        by = last.by if last else ""
        if kind is UpkeepKind.INSPECTED:
            return look_form(seen, view.now, by, upkeep_defaults().water_test, entry)
        known = cautions()
        words = tuple(
            known[key].text for key in seen.finish.cautions if key in known and key != LABEL_CAUTION
        )
        return done_form(seen, view.now, by, view.measures, kind=kind, cautions=words, entry=entry)

    def action_look(self) -> None:
        """Record what an inspection found."""
        seen = self._needed()
        if seen is not None:
            self._record(seen, UpkeepKind.INSPECTED)

    def action_done(self) -> None:
        """Record a cleaning, a renewal or a refinish."""
        view, seen = self.owner.view, self._needed()
        if view is not None and seen is not None:
            self._record(seen, usual_kind(seen, today_of(seen.piece, view.now)))

    def _record(self, seen: PieceSeen, kind: UpkeepKind) -> None:
        form, shop = self._told_form(seen, kind, None), self.owner.shop
        if form is None:
            return

        def then(values: dict[str, Any]) -> None:
            done = UpkeepKind(values.get("kind", kind.value))

            def record() -> str:
                after = shop.record_upkeep(seen.piece, done, given_of(values))
                lines = [f"{after.piece.title}: {done.value}; {after.outlook.coming[0].sentence}"]
                return "\n".join([*lines, *(f"▲ {one}" for one in after.outlook.advice)])

            self.owner.keep(record, UNDOES)

        self.owner.ask(form, then)

    def action_gone(self) -> None:
        """Take the piece out of use."""
        view, seen, shop = self.owner.view, self._needed(), self.owner.shop
        if view is None or seen is None:
            return
        last = last_told(self.owner.care)

        def then(values: dict[str, Any]) -> None:
            def take_out() -> str:
                after = shop.record_upkeep(seen.piece, UpkeepKind.GONE, given_of(values))
                return f"{after.piece.title} is out of use; its history is kept"

            self.owner.keep(take_out, UNDOES)

        self.owner.ask(gone_form(seen, view.now, last.by if last else ""), then)

    def action_undo(self) -> None:
        """Take back the entry written last, of whatever piece."""
        entry = last_told(self.owner.care)
        if entry is None:
            self.owner.say("There is nothing to undo: no upkeep is recorded.")
        else:
            self.owner.keep(self._said("undone", lambda: self.owner.shop.undo_upkeep(entry)))

    def action_redo(self) -> None:
        """Bring back the entry undone last."""
        name = last_written_piece(self.owner.care)
        if not name:
            self.owner.say("There is nothing to redo: no upkeep is recorded.")
        else:
            self.owner.keep(self._said("done again", lambda: self.owner.shop.redo_upkeep(name)))

    def _said(self, words: str, write: Callable[[], UpkeepEntry]) -> Callable[[], str]:
        care = self.owner.care

        def say() -> str:
            entry = write()
            pieces = care.every if care else ()
            seen = next((one for one in pieces if one.piece.name == entry.piece), None)
            return f"{words}: {told_of(entry, seen)}"

        return say

    def action_block(self) -> None:
        """Ask for days on which nothing may be done."""
        view, seen, care = self.owner.view, self._needed(), self.owner.care
        if view is None or seen is None or care is None:
            return
        shop, place = self.owner.shop, seen.piece.place
        there = [one.piece.name for one in care.pieces if one.piece.place == place]

        def then(values: dict[str, Any]) -> None:
            names = there if values["for"] == "place" else [seen.piece.name]

            def block() -> str:
                kept = shop.block(names, stretch_of(values), values["calendar"])
                what = counted(len(names), "piece")
                days = counted(len(kept), "stretch", "stretches")
                return f"{days} kept free on {what}"

            self.owner.keep(block)

        self.owner.ask(block_form(seen, view.now, len(there) - 1), then)

    def action_plan(self) -> None:
        """Plan the next renewal like new work, as a project."""
        view, seen, shop = self.owner.view, self._needed(), self.owner.shop
        if view is None or seen is None:
            return

        def plan() -> str:
            downtime = shop.plan_renewal(seen.piece.name)
            told = text_of(downtime_lines(view, seen, downtime, 200)[0])
            return f"{seen.piece.title}, planned as {downtime.project}: {told}"

        self.owner.keep(plan)

    def action_care(self) -> None:
        """Show the care sheet of the piece."""
        from finplan.services.care import care_sheet

        seen = self._needed()
        if seen is None:
            return
        blocks, name, shop = care_sheet(seen), f"care-{seen.piece.name}", self.owner.shop
        writers = {
            "text": lambda: clipboard.write_file(
                join(care_lines(blocks, TEXT_WIDTH)), Path.cwd(), name
            ),
            "pdf": lambda: shop.write_care_sheet(
                seen.piece.name, clipboard.free_path(Path.cwd(), name, ".pdf")
            ),
        }
        self.app.push_screen(CareDialog("Care sheet", lambda w, h: care_lines(blocks, w), writers))
