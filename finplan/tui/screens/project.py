"""A project: parts above, finishing schedule below, the projects beside them."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical

from finplan.trade.errors import BadInput
from finplan.trade.project import Project
from finplan.tui.models.edits import Change, change_part, change_step, part_form, step_form
from finplan.tui.models.forms import Form
from finplan.tui.models.project import (
    part_table,
    project_table,
    project_words,
    schedule_table,
)
from finplan.tui.models.start import import_form, preview_form
from finplan.tui.models.view import View
from finplan.tui.screens.page import Page
from finplan.tui.widgets.lines import Lines, entitle
from finplan.tui.widgets.table_view import TableView


class ProjectPage(Page):
    """Projects, parts and finishing schedules."""

    AREA = "project"
    HELP = (
        "The projects of the workshop, and the chosen one's parts and finishing schedule. "
        "Tab goes from list to list, space to the next project. e changes the marked part or step, "
        "i takes parts from a cut list; the plan follows at once."
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("space", "app.next_project", "Next project", id="project.next"),
        Binding("e", "edit", "Change", id="project.edit"),
        Binding("i", "import_parts", "Cut list", id="project.import"),
    ]

    def body(self) -> ComposeResult:
        """Projects, parts, schedule, words."""
        with Horizontal(id="project-page"):
            with Vertical(id="project-main"):
                with Vertical(id="projects-panel", classes="panel"):
                    yield TableView(id="project-list")
                with Vertical(id="parts-panel", classes="panel"):
                    yield TableView(id="parts")
                with Vertical(id="schedule-panel", classes="panel"):
                    yield TableView(id="schedule")
            yield Lines(id="project-words", classes="panel side")

    def on_mount(self) -> None:
        """Follow the chosen project too."""
        super().on_mount()
        self.watch(self.app, "project", self._again, init=False)

    def _again(self) -> None:
        if self.owner.view is not None:
            self.show(self.owner.view)

    def show(self, view: View) -> None:
        """Show the projects and the chosen one."""
        project = self.owner.project_of(view)
        listed = self.query_one("#project-list", TableView)
        listed.show(project_table(view))
        if project is not None:
            listed.go_to(project.name)
        entitle(self.query_one("#projects-panel"), "Projects")
        name, unit = project.title if project else "", view.measures.length_unit
        pieces = sum(part.quantity for part in project.parts) if project else 0
        entitle(self.query_one("#parts-panel"), f"Parts of {name} · {pieces} pieces · {unit}")
        entitle(self.query_one("#schedule-panel"), "Finishing schedule")
        self.query_one("#parts", TableView).show(part_table(project, view.measures))
        self.query_one("#schedule", TableView).show(schedule_table(project, view.measures))
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
                lambda _: self.owner.change("parts taken", lambda: shop.add_parts(name, path)),
            )

        self.owner.ask(import_form(name), look)

    def action_edit(self) -> None:
        """Change the part or step under the cursor of the list that has the focus."""
        view = self.owner.view
        project = self.owner.project_of(view) if view else None
        form, make = self._edit(view, project) if view and project else (None, None)
        if form is None or make is None or project is None:
            self.owner.say("Tab to a part or a step first, then e changes it.")
            return
        name, shop, version = project.name, self.owner.shop, self.owner.shop.version(project.name)
        self.owner.ask(
            form,
            lambda values: self.owner.change(
                "changed; the plan is made anew", lambda: shop.edit(name, version, make(values))
            ),
        )

    def _edit(
        self, view: View, project: Project
    ) -> tuple[Form | None, Callable[[dict[str, Any]], Change] | None]:
        """Return the form for what is under the cursor, and how its answer changes the project."""
        table = self.focused if isinstance(self.focused, TableView) else None
        if table is not None and table.id == "parts":
            part = next((one for one in project.parts if one.name == table.key), None)
            if part is not None:
                return part_form(project, part, view.measures), partial(change_part, part.name)
        if table is not None and table.id == "schedule":
            batch, _, key = table.key.rpartition("/")
            for one in project.batches:
                step = next((s for s in one.steps if s.key == key and one.name == batch), None)
                if step is not None:
                    known = tuple(sorted(view.planned.finishes)) if view.planned else ()
                    form = step_form(project, batch, step, known)
                    return form, partial(change_step, batch, key)
        return None, None

    def on_table_view_chosen(self, event: TableView.Chosen) -> None:
        """Enter on a part or a step changes it."""
        if event.view.id != "project-list":
            self.action_edit()

    def on_table_view_moved(self, event: TableView.Moved) -> None:
        """A project under the cursor is the chosen one."""
        if event.view.id == "project-list" and event.view.has_focus and event.key:
            self.owner.project = event.key
