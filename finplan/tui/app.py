"""The terminal application: which area shows, what is read and written, and when."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

from textual import events, work
from textual.app import App
from textual.binding import Binding, BindingType
from textual.reactive import reactive
from textual.screen import Screen
from textual.worker import Worker, WorkerState, get_current_worker

from finplan.trade.errors import BadInput
from finplan.tui.commands import Actions
from finplan.tui.copying import copy, copy_to_file
from finplan.tui.dialogs.form import FormDialog
from finplan.tui.dialogs.sheet import Sheet, StepSheet
from finplan.tui.dialogs.too_small import LEAST_HEIGHT, LEAST_WIDTH, TooSmall
from finplan.tui.models.coats import step_lines
from finplan.tui.models.forms import Form
from finplan.tui.models.help import help_lines
from finplan.tui.models.journal import about
from finplan.tui.models.paint import tidy
from finplan.tui.models.step_forms import correct_form, note_form
from finplan.tui.models.timers import Timer, timer_words, timers
from finplan.tui.models.times import date, local
from finplan.tui.models.view import View
from finplan.tui.screens.air import AirPage
from finplan.tui.screens.bench import BenchPage
from finplan.tui.screens.coats import CoatsPage
from finplan.tui.screens.finishes import FinishesPage
from finplan.tui.screens.journal import JournalPage
from finplan.tui.screens.project import ProjectPage
from finplan.tui.screens.start import StartPage
from finplan.tui.screens.timeline import TimelinePage
from finplan.tui.settings import Chosen, Memory
from finplan.tui.steps import ACTIONS
from finplan.tui.themes import DARK, LIGHT
from finplan.tui.thinking import THINK_S, gained, verdict
from finplan.tui.widgets.top_bar import AREAS, TopBar

if TYPE_CHECKING:
    from finplan.journal.entries import Entry
    from finplan.planning.plan import PlannedStep
    from finplan.services.write import Recorded
    from finplan.trade.project import Project
    from finplan.tui.shop import Shop

TICK_S = 1.0
LOOK_S = 2.0
AGAIN_S = 60.0
MOST_MOVED = 2


class FinplanApp(App[None]):
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
    MODES = {  # noqa: RUF012
        "bench": BenchPage,
        "timeline": TimelinePage,
        "project": ProjectPage,
        "coats": CoatsPage,
        "journal": JournalPage,
        "air": AirPage,
        "finishes": FinishesPage,
        "start": StartPage,
    }
    DEFAULT_MODE = "bench"

    BINDINGS: ClassVar[list[BindingType]] = [
        *(
            Binding(key, f"area('{area}')", name, show=False, id=f"area.{area}")
            for key, area, name in AREAS
        ),
        Binding("N", "area('start')", "New project", show=False, id="area.start"),
        Binding("t", "think", "Look for a better plan", show=False, id="think"),
        Binding("u", "undo", "Undo", id="undo"),
        Binding("r", "redo", "Redo", show=False, id="redo"),
        Binding("y", "copy", "Copy", show=False, id="copy"),
        Binding("Y", "copy_file", "Copy to a file", show=False, id="copy.file"),
        Binding("p", "command_palette", "All actions", show=False, id="palette"),
        Binding("f5", "reload", "Read again", show=False, id="reload"),
        Binding("f9", "other_theme", "Light or dark", show=False, id="theme"),
        Binding("question_mark,f1", "explain", "Help", id="help", key_display="?"),
        Binding("q", "quit", "Quit", show=False, id="quit"),
    ]

    view: reactive[View | None] = reactive(None)
    clock_words: reactive[str] = reactive("")
    project: reactive[str] = reactive("")
    running: reactive[tuple[tuple[Timer, str], ...]] = reactive(())

    def __init__(
        self, shop: Shop, memory: Memory | None = None, chosen: Chosen | None = None
    ) -> None:
        super().__init__()
        self.shop = shop
        self.memory = memory or Memory()
        chosen = chosen or Chosen()
        self.set_keymap(dict(chosen.keys))
        self._stamp: int | None = None
        self._rung: set[str] = set()
        self.register_theme(DARK)
        self.register_theme(LIGHT)
        self.animation_level = "none"
        self.theme = chosen.colours or self.memory.colours or DARK.name

    def get_theme_variable_defaults(self) -> dict[str, str]:
        """Return the colours of roles for themes that do not name them."""
        return (DARK if self.current_theme.dark else LIGHT).variables

    def on_mount(self) -> None:
        """Read the data and start the clock."""
        self.reload()
        if not self.shop.fixed:
            self.set_interval(TICK_S, self._tick)
            self.set_interval(AGAIN_S, self.reload)
        self.set_interval(LOOK_S, self._look)

    def on_resize(self, event: events.Resize) -> None:
        """Show one legible message while the terminal is too small."""
        small = event.size.width < LEAST_WIDTH or event.size.height < LEAST_HEIGHT
        if isinstance(self.screen, TooSmall):
            if small:
                self.screen.say(event.size.width, event.size.height)
            else:
                self.screen.dismiss(None)
        elif small:
            self.push_screen(TooSmall())

    # Reading

    def _tick(self) -> None:
        now = self.present()
        self._show_clock(now)
        self._run_timers(now)

    def present(self) -> dt.datetime:
        """Return the moment it is: the clock's, or the one the view was made for."""
        if self.shop.fixed and self.view is not None:
            return self.view.now
        return dt.datetime.now(dt.UTC)

    def _run_timers(self, now: dt.datetime) -> None:
        """Show the short timers, and ring once for each that becomes due."""
        running = timers(self.view, now) if self.view else ()
        self.running = timer_words(running, now)
        due = {one.key for one in running if one.rings <= now}
        if due - self._rung:
            self.bell()
        self._rung = due

    def _show_clock(self, now: dt.datetime) -> None:
        zone = self.view.zone if self.view else "UTC"
        there = local(now, zone)
        self.clock_words = f"{date(there.date())} {there:%H:%M}"

    @work(thread=True, exclusive=True, group="read", exit_on_error=False)
    def reload(self) -> None:
        """Plan anew in the background and show the result."""
        worker = get_current_worker()
        try:
            stamp, view = self.shop.stamp(), self.shop.read()
        except BadInput as fault:
            self.call_from_thread(self.complain, str(fault))
            return
        if not worker.is_cancelled:
            self.call_from_thread(self._arrived, view, stamp)

    def _arrived(self, view: View, stamp: int) -> None:
        self._stamp = stamp
        self.view = view
        self._show_clock(view.now)
        self._rung = {one.key for one in timers(view, view.now) if one.rings <= view.now}
        self._run_timers(view.now)
        empty = view.planned is None and not view.fault
        if empty and self.current_mode != "start":
            self.switch_mode("start")
        if view.fault:
            self.complain(view.fault)

    @work(thread=True, exclusive=True, group="look", exit_on_error=False)
    def _look(self) -> None:
        """See whether another program has written to the data."""
        try:
            stamp = self.shop.stamp()
        except BadInput:
            return
        if self._stamp is not None and stamp != self._stamp:
            self.call_from_thread(self.reload)

    @work(thread=True, exclusive=True, group="think", exit_on_error=False)
    def action_think(self) -> None:
        """Look for a better plan in the background; a change of the data makes it void."""
        worker, before, stamp = get_current_worker(), self.view, self._stamp
        if before is None or before.planned is None:
            return
        self.call_from_thread(self.say, f"Looking for a better plan, up to {THINK_S:.0f} s …")
        try:
            after = self.shop.read(THINK_S)
        except BadInput as fault:
            self.call_from_thread(self.complain, str(fault))
            return
        if not worker.is_cancelled and self._stamp == stamp:
            self.call_from_thread(self._thought, before, after)

    def _thought(self, before: View, after: View) -> None:
        if gained(before, after):
            self.view = after
        self.say(verdict(before, after))

    def say(self, words: str) -> None:
        """Show a few words for a moment."""
        self.notify(tidy(words, 200), markup=False)

    def on_worker_state_changed(self, event: Worker.StateChanged) -> None:
        """Say so when a worker failed in a way nobody foresaw; the screens stay up."""
        if event.state is WorkerState.ERROR:
            fault = event.worker.error
            self.log.error(fault)
            self.complain(f"that failed ({type(fault).__name__}: {fault}); nothing was changed")

    def complain(self, sentence: str) -> None:
        """Show a fault as one sentence."""
        self.notify(tidy(sentence), severity="error", timeout=12, markup=False)

    # Writing

    @work(thread=True, group="write", exit_on_error=False)
    def act(self, words: str, write: Callable[[], Recorded]) -> None:
        """Write in the background, say what happened and what moved, and read again."""
        try:
            recorded = write()
        except BadInput as fault:
            self.call_from_thread(self.complain, str(fault))
            return
        self.call_from_thread(self._written, words, recorded)

    def _written(self, words: str, recorded: Recorded) -> None:
        entries = self.view.entries if self.view else ()
        meant = recorded.subject or recorded.entry
        what = f"{words}: {about(meant, entries)}" if meant.step else words
        moved = [one.split(". ")[0] for one in recorded.moved[:MOST_MOVED]]
        more = len(recorded.moved) - len(moved)
        lines = [what, *moved]
        if more > 0:
            lines.append(f"and {more} more changes")
        text = "\n".join(tidy(one, 120) for one in lines)
        self.notify(text, title="u undoes" if recorded.subject is None else "", markup=False)
        self.reload()

    @work(thread=True, group="write", exit_on_error=False)
    def change(self, words: str, write: Callable[[], object]) -> None:
        """Write something that is no journal entry, say so, and go to the bench if it was empty."""
        try:
            write()
        except BadInput as fault:
            self.call_from_thread(self.complain, str(fault))
            return
        self.call_from_thread(self._changed, words)

    def _changed(self, words: str) -> None:
        self.say(words)
        if self.current_mode == "start":
            self.switch_mode("bench")
        self.reload()

    def ask(self, form: Form, then: Callable[[dict[str, Any]], object]) -> None:
        """Ask a form; a draft left from before is offered again."""
        dialog = FormDialog(form, self.memory)

        def answered(values: dict[str, object] | None) -> None:
            if values is not None:
                then(values)

        self.push_screen(dialog, answered)

    def ask_about(self, step: PlannedStep, action: str) -> None:
        """Ask the form for an action on a step and carry it out."""
        if self.view is not None:
            ACTIONS[action](self, self.view, step)

    def ask_correction(self, entry: Entry) -> None:
        """Ask what was wrong in an entry."""
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
        project = self.project_of(self.view) if self.view else None
        if project is None:
            self.notify("There is no project to keep a note with.", markup=False)
            return
        name = project.name
        self.ask(
            note_form(name), lambda v: self.act("noted", lambda: self.shop.note(name, v["note"]))
        )

    def action_undo(self) -> None:
        """Take the last entry back."""
        self.act("undone", self.shop.undo)

    def action_redo(self) -> None:
        """Bring back what was undone."""
        self.act("done again", self.shop.redo)

    # Looking

    def project_of(self, view: View) -> Project | None:
        """Return the chosen project, or the first one."""
        chosen = (project for project in view.projects if project.name == self.project)
        return next(chosen, next(iter(view.projects), None))

    def action_next_project(self) -> None:
        """Choose the next project."""
        names = [project.name for project in self.view.projects] if self.view else []
        if len(names) > 1:
            at = names.index(self.project) if self.project in names else 0
            self.project = names[(at + 1) % len(names)]

    def show_step(self, step: PlannedStep) -> None:
        """Show a step in full."""
        view = self.view
        if view is None:
            return

        def answered(action: str | None) -> None:
            if action:
                self.ask_about(step, action)

        self.push_screen(StepSheet("This step", lambda w, h: step_lines(view, step, w)), answered)

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

    def action_explain(self) -> None:
        """Explain the screen and what has the focus, with the keys that work now."""
        screen: Screen[Any] = self.screen
        texts = [getattr(node, "HELP", "") for node in (screen, screen.focused) if node is not None]
        keys: dict[str, list[str]] = {}
        for active in screen.active_bindings.values():
            if active.binding.id and not active.binding.id.startswith("app."):
                words = keys.setdefault(active.binding.description, [])
                words.append(self.get_key_display(active.binding))
        self.push_screen(Sheet("Help", lambda w, h: help_lines(texts, keys, w)))

    def action_copy(self) -> None:
        """Copy the list that has the focus, and say which way."""
        self.say(copy(self))

    def action_copy_file(self) -> None:
        """Write the list that has the focus to a file."""
        self.say(copy_to_file(self))
