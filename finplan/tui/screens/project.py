"""A project: parts above, finishing schedule below, the projects beside them."""

from __future__ import annotations

from typing import Any, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical

from finplan.trade.errors import BadInput
from finplan.trade.names import counted
from finplan.trade.project import Batch, Project
from finplan.trade.steps import Step, StepKind
from finplan.tui.models import schedule
from finplan.tui.models.edits import Change, add_part, change_part, part_form, take_out_part
from finplan.tui.models.project import part_table, project_table, project_words
from finplan.tui.models.start import import_form, preview_form
from finplan.tui.models.times import moment
from finplan.tui.models.view import View
from finplan.tui.screens.page import Page
from finplan.tui.widgets.lines import Lines, entitle
from finplan.tui.widgets.table_view import TableView


class ProjectList(TableView):
    """The projects; the one under the cursor is the chosen one."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("space", "app.next_project", "Next project", id="project.next"),
        Binding("D", "app.date", "The date", id="date"),
    ]


class PartList(TableView):
    """The chosen project's parts."""

    HELP = (
        "The parts. e changes the marked one, a adds one, x takes the marked one out, i takes "
        "parts from a cut list. j, k, g and G move as the arrows do."
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("a", "screen.add_part", "Add", id="part.add"),
        Binding("x", "screen.take_out_part", "Take out", id="part.take_out"),
    ]


class ScheduleList(TableView):
    """The chosen project's finishing schedules."""

    HELP = (
        "The finishing schedule with the day each step falls on. e changes the marked step, a "
        "adds one behind it or a whole coat, x takes it out, J and K move it later and earlier. "
        "The dates follow at once, and u takes it back. j, k, g and G move as the arrows do."
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("a", "screen.add_step", "Add", id="schedule.add"),
        Binding("x", "screen.take_out_step", "Take out", id="schedule.take_out"),
        Binding("J", "screen.move_step(1)", "Move later", show=False, id="schedule.later"),
        Binding("K", "screen.move_step(-1)", "Move earlier", show=False, id="schedule.earlier"),
    ]


class ProjectPage(Page):
    """Projects, parts and finishing schedules."""

    AREA = "project"
    HELP = (
        "The projects of the workshop, and the chosen one's parts and finishing schedule. "
        "Tab goes from list to list, space to the next project. e changes the marked part or step, "
        "a adds one, x takes it out, i takes parts from a cut list; the plan follows at once. D "
        "says what the date hangs on and what would bring it forward."
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("space", "app.next_project", "Next project", show=False, id="project.next"),
        Binding("e", "edit", "Change", id="project.edit"),
        Binding("i", "import_parts", "Cut list", show=False, id="project.import"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._coming = ""

    def body(self) -> ComposeResult:
        """Projects, parts, schedule, words."""
        with Horizontal(id="project-page"):
            with Vertical(id="project-main"):
                with Vertical(id="projects-panel", classes="panel"):
                    yield ProjectList(id="project-list")
                with Vertical(id="parts-panel", classes="panel"):
                    yield PartList(id="parts")
                with Vertical(id="schedule-panel", classes="panel"):
                    yield ScheduleList(id="schedule")
            yield Lines(id="project-words", classes="panel side")

    def on_mount(self) -> None:
        """Follow the chosen project too."""
        super().on_mount()
        self.watch(self.app, "project", self.show_again, init=False)

    def show(self, view: View) -> None:
        """Show the projects and the chosen one."""
        project = self.owner.project_of(view)
        listed = self.query_one("#project-list", TableView)
        listed.show(project_table(view))
        if project is not None:
            listed.go_to(project.name)
        several = len(view.workshops) > 1 and view.planned is not None
        where = f" in {view.planned.workshop.name} · W: next" if several and view.planned else ""
        entitle(self.query_one("#projects-panel"), f"Projects{where}")
        name, unit = project.title if project else "", view.measures.length_unit
        pieces = sum(part.quantity for part in project.parts) if project else 0
        count = counted(pieces, "piece")
        title = f"Parts of {name} · {count} · {unit}" if project else "Parts"
        entitle(self.query_one("#parts-panel"), title)
        ready = view.planned.ready_of(project.name) if project and view.planned else None
        when = f" · ready {moment(ready.safe, view.zone, view.now)} safe" if ready else ""
        entitle(self.query_one("#schedule-panel"), f"Finishing schedule{when}")
        self.query_one("#parts", TableView).show(part_table(project, view.measures))
        table = self.query_one("#schedule", TableView)
        table.show(schedule.schedule_table(view, project))
        if self._coming in (row.key for row in table.table.rows):
            table.go_to(self._coming)
            self._coming = ""
        words = self.query_one("#project-words", Lines)
        entitle(words, "About")
        words.show(lambda w, h: project_words(view, project, w))

    def action_import_parts(self) -> None:
        """Ask for a cut list, show what it would bring, and take it."""
        view = self.owner.view
        project = self.owner.project_of(view) if view else None
        if view is None or project is None:
            self.owner.say("There is no project to take parts into; N begins one.")
            return
        name, shop, measures = project.name, self.owner.shop, view.measures

        def look(values: dict[str, Any]) -> None:
            path = values["path"]
            try:
                form = preview_form(shop.preview_parts(name, path), path, measures)
            except BadInput as fault:
                self.owner.complain(str(fault))
                return
            self.owner.ask(
                form,
                lambda _: self.owner.act("", lambda: shop.add_parts(name, path)),
            )

        self.owner.ask(import_form(name), look)

    def _write(
        self,
        project: Project,
        words: str,
        change: Change,
        version: int | None = None,
        coming: str = "",
    ) -> None:
        """Keep a change of the project.

        Args:
            project: the project as it is seen.
            words: what is changed.
            change: the change.
            version: what the form was filled in for; None where the change fits any.
            coming: the row to go to when the changed schedule shows.
        """
        name, shop = project.name, self.owner.shop
        self._coming = coming
        self.owner.act("", lambda: shop.edit(name, version, change, words))

    def _at(self, table: str) -> tuple[View, Project, str] | None:
        """Return the view, the chosen project, and the key of the row under a list's cursor."""
        view = self.owner.view
        project = self.owner.project_of(view) if view else None
        if view is None or project is None:
            return None
        return view, project, self.query_one(f"#{table}", TableView).key

    def _step(self) -> tuple[View, Project, Batch, Step] | None:
        """Return the step under the cursor of the schedule, and what it belongs to."""
        found = self._at("schedule")
        if found is None:
            return None
        view, project, row = found
        name, _, key = row.rpartition("/")
        for batch in project.batches:
            for step in batch.steps:
                if batch.name == name and step.key == key:
                    return view, project, batch, step
        return None

    def action_edit(self) -> None:
        """Change the part or step under the cursor of the list that has the focus."""
        where = self.focused.id if self.focused is not None else ""
        if where == "parts" and (at := self._at("parts")) and at[2]:
            self._edit_part(*at)
        elif where == "schedule" and (step := self._step()):
            self._edit_step(*step)
        else:
            self.owner.say("Tab to a part or a step first, then e changes it.")

    def _edit_part(self, view: View, project: Project, name: str) -> None:
        part = next(one for one in project.parts if one.name == name)
        version = self.owner.shop.version(project.name)
        self.owner.ask(
            part_form(project, part, view.measures),
            lambda v: self._write(project, f"part {name} changed", change_part(name, v), version),
        )

    def action_add_part(self) -> None:
        """Ask for a new part."""
        at = self._at("parts")
        if at is not None:
            view, project, _ = at
            self.owner.ask(
                part_form(project, None, view.measures),
                lambda v: self._write(project, f"part {v['name']} added", add_part(v)),
            )

    def action_take_out_part(self) -> None:
        """Take the marked part out."""
        at = self._at("parts")
        if at is not None and at[2]:
            _, project, name = at
            self._write(project, f"part {name} taken out", take_out_part(name))

    def _edit_step(self, view: View, project: Project, batch: Batch, step: Step) -> None:
        known = view.planned.finishes if view.planned else ()
        words = f"{batch.name}: {step.title} changed"
        version = self.owner.shop.version(project.name)
        self.owner.ask(
            schedule.step_form("Step", batch.name, step, known, view.measures),
            lambda v: self._write(
                project, words, schedule.change_step(batch.name, step.key, v), version
            ),
        )

    def action_add_step(self) -> None:
        """Ask which kind of step comes behind the marked one, then for the step."""
        found = self._step()
        if found is None:
            self.owner.say("No batch has a finishing schedule yet.")
            return
        view, project, batch, after = found
        taken = {entry.step for entry in view.entries if entry.project == project.name}

        def picked(values: dict[str, Any]) -> None:
            if values["kind"] == schedule.COAT_AGAIN:
                words = f"{batch.name}: a coat more"
                self._write(project, words, schedule.add_coat(batch.name, taken))
            else:
                self._ask_new(view, project, batch, after, StepKind(values["kind"]), taken)

        self.owner.ask(schedule.kind_form(batch, after), picked)

    def _ask_new(
        self,
        view: View,
        project: Project,
        batch: Batch,
        after: Step,
        kind: StepKind,
        taken: set[str],
    ) -> None:
        usual = self.owner.shop.usual_minutes()
        step = schedule.offered_step(batch, after.key, kind, usual, taken)

        def then(values: dict[str, Any]) -> None:
            made = schedule.filled(step, values)
            change = schedule.add_step(batch.name, after.key, made)
            words = f"{batch.name}: {made.title} added"
            self._write(project, words, change, coming=f"{batch.name}/{made.key}")

        known = view.planned.finishes if view.planned else ()
        self.owner.ask(schedule.step_form("Add", batch.name, step, known, view.measures), then)

    def action_take_out_step(self) -> None:
        """Take the marked step out, a coat with all that belongs to it."""
        found = self._step()
        if found is not None:
            _, project, batch, step = found
            words = f"{batch.name}: {schedule.taken_out_words(batch, step)} taken out"
            self._write(project, words, schedule.take_out(batch.name, step.key))

    def action_move_step(self, by: int) -> None:
        """Move the marked step one place."""
        found = self._step()
        if found is not None:
            _, project, batch, step = found
            words = f"{batch.name}: {step.title} moved {'later' if by > 0 else 'earlier'}"
            self._write(project, words, schedule.move_step(batch.name, step.key, by))

    def on_table_view_chosen(self, event: TableView.Chosen) -> None:
        """Enter on a part or a step changes it."""
        if event.view.id != "project-list":
            self.action_edit()

    def on_table_view_moved(self, event: TableView.Moved) -> None:
        """A project under the cursor is the chosen one."""
        if event.view.id == "project-list" and event.view.has_focus and event.key:
            self.owner.project = event.key
