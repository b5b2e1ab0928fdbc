"""Coat by coat: loads by coats, and every step of the project below."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical

from finplan.planning.plan import PlannedStep
from finplan.tui.models.coats import coat_grid, step_lines, step_table
from finplan.tui.models.view import View
from finplan.tui.screens.page import StepPage
from finplan.tui.widgets.lines import Lines, entitle
from finplan.tui.widgets.table_view import TableView


class CoatsPage(StepPage):
    """Progress coat by coat of one project."""

    AREA = "coats"
    HELP = (
        "Above, each load with its coats: ✓ done, ○ planned, ● now, ! overdue, ↷ left out, with "
        "the time. Below, every step; enter explains one. Space goes to the next project."
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("space", "app.next_project", "Next project", id="coats.project"),
        Binding("enter", "details", "Details", show=False, id="coats.details"),
    ]

    AUTO_FOCUS = "#steps"

    def body(self) -> ComposeResult:
        """The grid, the steps, and the chosen step in full where there is room."""
        with Horizontal(id="coats-page"):
            with Vertical(id="coats-main"):
                with Vertical(id="grid-panel", classes="panel"):
                    yield TableView(id="grid")
                with Vertical(id="steps-panel", classes="panel"):
                    yield TableView(id="steps")
            yield Lines(id="step-in-full", classes="panel side")

    def on_mount(self) -> None:
        """Follow the chosen project too."""
        super().on_mount()
        self.watch(self.app, "project", self.show_again, init=False)
        self.watch(self.app, "slacks", self._explain, init=False)

    def show(self, view: View) -> None:
        """Show the chosen project's loads and steps."""
        project = self.owner.project_of(view)
        name = project.name if project else ""
        entitle(self.query_one("#grid-panel"), f"Coats of {project.title}" if project else "Coats")
        entitle(self.query_one("#steps-panel"), "All steps")
        grid = self.query_one("#grid", TableView)
        grid.show(coat_grid(view, name))
        steps = self.query_one("#steps", TableView)
        fresh = not steps.key.startswith(f"{name}/")
        steps.show(step_table(view, name))
        if fresh:
            coming = next((s for s in view.steps if s.project == name and not s.done), None)
            if coming:
                steps.go_to(coming.id)
        self._explain()

    def chosen_step(self) -> PlannedStep | None:
        """Return the step under the cursor of the list of steps."""
        view = self.owner.view
        return view.step(self.query_one("#steps", TableView).key) if view else None

    def on_table_view_moved(self, event: TableView.Moved) -> None:
        """Explain another step; a load chosen above brings its steps into sight below."""
        view = self.owner.view
        if view is None:
            return
        if event.view.id == "grid" and event.view.has_focus:
            prefix = f"{event.key}/"
            own = [s for s in view.steps if s.id.startswith(prefix)]
            first = next((s for s in own if not s.done), own[-1] if own else None)
            if first:
                self.query_one("#steps", TableView).go_to(first.id)
        self._explain()

    def on_table_view_chosen(self) -> None:
        """Enter shows the step in full."""
        self.action_details()

    def _explain(self) -> None:
        view = self.owner.view
        if view is not None:
            step = self.chosen_step()
            panel = self.query_one("#step-in-full", Lines)
            entitle(panel, "This step")
            panel.show(lambda w, h: step_lines(view, step, w, self.owner.slacks))
            self.find_slack()
