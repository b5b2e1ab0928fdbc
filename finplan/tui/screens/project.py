"""A project: parts above, finishing schedule below, the projects beside them."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical

from finplan.tui.models.project import (
    part_table,
    project_table,
    project_words,
    schedule_table,
)
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

    def on_table_view_moved(self, event: TableView.Moved) -> None:
        """A project under the cursor is the chosen one."""
        if event.view.id == "project-list" and event.view.has_focus and event.key:
            self.owner.project = event.key
