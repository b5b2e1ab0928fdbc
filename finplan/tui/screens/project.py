"""A project: parts above, finishing schedule below, the projects beside them."""

from __future__ import annotations

from typing import Any, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical

from finplan.trade.errors import BadInput
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
        "Tab goes from list to list, space to the next project."
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("space", "app.next_project", "Next project", id="project.next"),
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
        name = project.title if project else ""
        pieces = sum(part.quantity for part in project.parts) if project else 0
        entitle(self.query_one("#parts-panel"), f"Parts of {name} · {pieces} pieces · mm")
        entitle(self.query_one("#schedule-panel"), "Finishing schedule")
        self.query_one("#parts", TableView).show(part_table(project))
        self.query_one("#schedule", TableView).show(schedule_table(project))
        words = self.query_one("#project-words", Lines)
        entitle(words, "About")
        words.show(lambda w, h: project_words(view, project, w))

    def action_import_parts(self) -> None:
        """Ask for a cut list, show what it would bring, and take it."""
        view = self.owner.view
        project = self.owner.project_of(view) if view else None
        if project is None:
            self.owner.say("There is no project to take parts into; N begins one.")
            return
        name, shop = project.name, self.owner.shop

        def look(values: dict[str, Any]) -> None:
            path = values["path"]
            try:
                form = preview_form(shop.preview_parts(name, path), path)
            except BadInput as fault:
                self.owner.complain(str(fault))
                return
            self.owner.ask(
                form,
                lambda _: self.owner.change("parts taken", lambda: shop.add_parts(name, path)),
            )

        self.owner.ask(import_form(name), look)

    def on_table_view_moved(self, event: TableView.Moved) -> None:
        """A project under the cursor is the chosen one."""
        if event.view.id == "project-list" and event.view.has_focus and event.key:
            self.owner.project = event.key
