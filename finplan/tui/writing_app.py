"""What the application writes: it asks, records, says what happened, and takes it back."""

from __future__ import annotations

import datetime as dt
import threading
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from textual import work
from textual.reactive import reactive

from finplan.trade.errors import BadInput
from finplan.tui.models.journal import first_moved, told_of
from finplan.tui.models.paint import tidy
from finplan.tui.reading_app import ReadingApp
from finplan.tui.settings import Memory

if TYPE_CHECKING:
    from textual.screen import Screen

    from finplan.journal.entries import Entry
    from finplan.planning.plan import PlannedStep
    from finplan.services.editing import Edited
    from finplan.services.planned import Planned
    from finplan.services.write import Recorded
    from finplan.trade.project import Project
    from finplan.tui.first_reading import FirstReading
    from finplan.tui.models.forms import Form
    from finplan.tui.models.view import View
    from finplan.tui.shop import Shop

UNDONE, REDONE = "undone", "done again"
HEED_S = 20.0
"""How long words to heed stay (assumption: two long sentences, read without haste)."""


@dataclass(frozen=True, eq=False)
class Asked:
    """A form, what is done with its answers, and the screen it was asked over."""

    form: Form
    then: Callable[[dict[str, Any]], object]
    over: Screen[Any]


class WritingApp(ReadingApp):
    """Writes in the background, one thing after another; every word of it can be undone."""

    project: reactive[str] = reactive("")

    def __init__(self, shop: Shop, memory: Memory, first: FirstReading | None = None) -> None:
        super().__init__(shop, first)
        self.memory = memory
        shop.workshop = memory.workshop
        self._asked: Asked | None = None
        self._one_at_a_time = threading.Lock()

    def act(self, words: str, write: Callable[[], Recorded | Edited]) -> None:
        """Write in the background, say what happened and what moved, and read again."""
        self._write(write, lambda done: self._written(words, done))

    def change(self, words: str, write: Callable[[], object]) -> None:
        """Write what cannot be undone, say so, and go to the bench if it was empty."""
        self._write(write, lambda _: self._changed(words))

    def _write(self, write: Callable[[], Any], then: Callable[[Any], None]) -> None:
        """Write what the form at hand asked; its draft is forgotten once that is done."""
        asked, self._asked = self._asked, None
        self._write_behind(write, then, asked)

    @work(thread=True, group="write", exit_on_error=False)
    def _write_behind(
        self, write: Callable[[], Any], then: Callable[[Any], None], asked: Asked | None
    ) -> None:
        try:
            with self._one_at_a_time:
                done = write()
        except BadInput as fault:
            self.call_from_thread(self._refused, fault, asked)
            self.call_from_thread(self.reload)
            return
        if asked is not None:
            self.call_from_thread(self.memory.keep_draft, asked.form.key, {})
        self.call_from_thread(then, done)

    def _refused(self, fault: BadInput, asked: Asked | None) -> None:
        """Show the form again with the fault in it; elsewhere, or where it is out of date, tell it.

        What somebody else changed meanwhile has to be read again before it can be changed.
        """
        from finplan.store.base import StaleWrite

        if asked is None:
            self.complain(str(fault))
        elif self.screen is asked.over and not isinstance(fault, StaleWrite):
            self._ask(asked, fault)
        else:
            kept = "; what you typed is kept" if self.memory.draft(asked.form.key) else ""
            self.complain(f"{fault}{kept}")

    def _written(self, words: str, done: Recorded | Edited) -> None:
        text = "\n".join((tidy(self._in_words(words, done), 120), *first_moved(done.moved)))
        can_be_undone = words not in (UNDONE, REDONE)
        self.notify(text, title="u undoes" if can_be_undone else "", markup=False)
        self._warn(done)
        self.reload()

    def _warn(self, done: Recorded | Edited) -> None:
        """Say what a recorded step calls for next, or went against."""
        from finplan.services.write import Recorded

        if isinstance(done, Recorded) and done.heed:
            text = "\n".join(tidy(sentence) for sentence in done.heed)
            self.notify(text, severity="warning", timeout=HEED_S, markup=False)

    def _in_words(self, words: str, done: Recorded | Edited) -> str:
        """Return what was done, undone or done again."""
        from finplan.services.editing import Edited

        if isinstance(done, Edited):
            return f"{words}: {done.words}" if words else done.words
        meant = done.subject or done.entry
        if self.view is None or not (meant.step or words in (UNDONE, REDONE)):
            return words
        return f"{words}: {told_of(meant, self.view)}"

    def keep(self, write: Callable[[], str], title: str = "") -> None:
        """Write something, say what ``write`` returns, and read again."""
        self._write(write, lambda words: self._kept(words, title))

    def _kept(self, words: str, title: str) -> None:
        text = "\n".join(tidy(one, 200) for one in words.splitlines())
        self.notify(text, title=title, markup=False)
        self.reload()

    def _changed(self, words: str) -> None:
        self.say(words)
        if self.current_mode == "start":
            self.switch_mode("bench")
        self.reload()

    def ask(self, form: Form, then: Callable[[dict[str, Any]], object]) -> None:
        """Ask a form; a draft left from before is offered again.

        The draft stays until what was asked is written: a refused one is not lost.
        """
        self._ask(Asked(form, then, self.screen))

    def _ask(self, asked: Asked, fault: BadInput | None = None) -> None:
        """Push a form; ``fault`` is why what it holds was refused before."""

        def answered(values: dict[str, object] | None) -> None:
            if values is None:
                return
            self._asked = asked
            asked.then(values)
            if self._asked is not None:
                self.memory.keep_draft(asked.form.key, {})
                self._asked = None

        from finplan.tui.dialogs.form import FormDialog

        self.push_screen(FormDialog(asked.form, self.memory, fault), answered)

    def ask_about(self, step: PlannedStep, action: str) -> None:
        """Ask the form for an action on a step and carry it out."""
        from finplan.tui.steps import ACTIONS

        if self.view is not None:
            ACTIONS[action](self, self.view, step)

    def ask_correction(self, entry: Entry) -> None:
        """Ask what was wrong in an entry."""
        from finplan.tui.models.step_forms import correct_form

        if self.view is None:
            return
        form = correct_form(self.view, entry)
        first = {one.key: one.read(one.initial)[0] for one in form.fields}

        def then(values: dict[str, Any]) -> None:
            changes = {key: value for key, value in values.items() if value != first[key]}
            if isinstance(changes.get("at"), dt.datetime):
                changes["at"] = changes["at"].isoformat()
            if not changes:
                self.notify("Nothing was changed.", markup=False)
            else:
                self.act("corrected", lambda: self.shop.correct(entry, changes))

        self.ask(form, then)

    def ask_note(self) -> None:
        """Ask for a note to keep with the chosen project."""
        from finplan.tui.models.step_forms import note_form

        project = self.project_of(self.view) if self.view else None
        if project is None:
            self.notify("There is no project to keep a note with.", markup=False)
            return
        name = project.name
        self.ask(
            note_form(name), lambda v: self.act("noted", lambda: self.shop.note(name, v["note"]))
        )

    def action_undo(self) -> None:
        """Take back what was recorded or changed last."""
        self.act(UNDONE, lambda: self.shop.undo(self._made()))

    def action_redo(self) -> None:
        """Bring back what was undone."""
        self.act(REDONE, lambda: self.shop.redo(self._made()))

    def _made(self) -> Planned | None:
        """Return the plan that shows, None where there is none."""
        return self.view.planned if self.view else None

    def project_of(self, view: View) -> Project | None:
        """Return the chosen project, or the first one."""
        chosen = (project for project in view.projects if project.name == self.project)
        return next(chosen, next(iter(view.projects), None))

    def action_project(self, name: str) -> None:
        """Choose a project by its name."""
        self.project = name

    def action_workshop(self, name: str) -> None:
        """Show another workshop."""
        self.shop.workshop = name
        self.memory.keep_workshop(name)
        self.say(f"Workshop: {name}")
        self.reload()

    def action_next_workshop(self) -> None:
        """Show the next workshop."""
        view = self.view
        names = view.workshops if view else ()
        if view is None or len(names) < 2:
            self.say("There is one workshop only; a project file may bring another.")
            return
        here = view.planned.workshop.name if view.planned else self.shop.workshop
        at = names.index(here) if here in names else -1
        self.action_workshop(names[(at + 1) % len(names)])

    def action_next_project(self) -> None:
        """Choose the next project."""
        names = [project.name for project in self.view.projects] if self.view else []
        if len(names) > 1:
            at = names.index(self.project) if self.project in names else 0
            self.project = names[(at + 1) % len(names)]
