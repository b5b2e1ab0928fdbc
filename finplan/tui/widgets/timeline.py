"""The timeline drawn line by line: only the rows and cells in sight cost anything."""

from __future__ import annotations

import datetime as dt
from typing import ClassVar

from textual import events
from textual.binding import Binding, BindingType
from textual.geometry import Region, Size
from textual.message import Message
from textual.scroll_view import ScrollView
from textual.strip import Strip

from finplan.tui.models.paint import Role, line
from finplan.tui.models.scale import ZOOM_WORDS, ZOOMS, Window, window_at
from finplan.tui.models.timeline import (
    Chart,
    first_step,
    head_lines,
    label_width,
    neighbour,
    row_line,
)
from finplan.tui.widgets.painter import Painter

HEAD = 2
START_ZOOM = 3
PART_OF_SCREEN = 3
NOTHING = "No step is planned yet: N begins a project."
MOST_STRIPS = 2000
"""Rows kept as drawn, so that a key press draws only what it changes."""


class Timeline(Painter, ScrollView, can_focus=True):
    """Loads as rows, time across."""

    HELP = (
        "Arrows go from step to step. i and o zoom, f and b pan forward and back, n jumps to now, "
        "w goes to the step the chosen one waits for. "
        "━ dried so far, ─ until likely dry, ╌ until safely dry, · the open recoat window, "
        "◆ where it closes, ✓ done, │ now. Shaded: nobody works."
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left,h", "step(-1)", "Step before", show=False, id="timeline.before"),
        Binding("right,l", "step(1)", "Step after", show=False, id="timeline.after"),
        Binding("up,k", "row(-1)", "Row up", show=False, id="timeline.up"),
        Binding("down,j", "row(1)", "Row down", show=False, id="timeline.down"),
        Binding("i", "zoom(-1)", "Zoom in", id="timeline.zoom_in"),
        Binding("o", "zoom(1)", "Zoom out", id="timeline.zoom_out"),
        Binding("f,pagedown", "pan(1)", "Pan forward", show=False, id="timeline.forward"),
        Binding("b,pageup", "pan(-1)", "Pan back", show=False, id="timeline.back"),
        Binding("n,home", "now", "Now", show=False, id="timeline.now"),
        Binding("w", "follow", "Waits for", id="timeline.follow"),
    ]

    class Chosen(Message):
        """Another step is chosen."""

        def __init__(self, step_id: str) -> None:
            self.step_id = step_id
            super().__init__()

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self._chart: Chart | None = None
        self._chosen = ""
        self._zoom = START_ZOOM
        self._start_s: int | None = None
        self._label_room = (0, 10)
        self._strips: dict[tuple[int, Window, int, str], Strip] = {}

    @property
    def chosen(self) -> str:
        """The id of the chosen step."""
        return self._chosen

    @property
    def zoom_words(self) -> str:
        """What a cell stands for."""
        return ZOOM_WORDS[ZOOMS[self._zoom]]

    def show(self, laid: Chart) -> None:
        """Show another plan; the chosen step and the stretch stay."""
        self._chart = laid
        self._strips.clear()
        self._label_room = (0, 10)
        if laid.place(self._chosen) is None:
            self._choose(first_step(laid))
        self._layout_rows()
        self.refresh(layout=self.styles.is_auto_height)

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """Return the height all rows need; ``max-height`` may allow less."""
        return HEAD + max(len(self._chart.rows) if self._chart else 0, 1)

    def _layout_rows(self) -> None:
        rows = len(self._chart.rows) if self._chart else 0
        self.virtual_size = Size(self.scrollable_content_region.width, rows + HEAD)

    def on_resize(self) -> None:
        """Draw for the new room."""
        self._layout_rows()
        self.refresh()

    def _labels(self) -> int:
        width = self.scrollable_content_region.width
        if width != self._label_room[0] and self._chart:
            self._label_room = (width, label_width(self._chart, width))
        return self._label_room[1]

    def _window(self) -> Window:
        """Return the stretch that shows; the first time it begins shortly before now."""
        assert self._chart is not None
        width = max(self.scrollable_content_region.width - self._labels(), 1)
        if self._start_s is None:
            now = dt.datetime.fromtimestamp(self._chart.now_s, dt.UTC)
            lead = width // 6
            self._start_s = window_at(now, self._chart.zone, ZOOMS[self._zoom], width, lead).start_s
        return Window(self._start_s, ZOOMS[self._zoom], width)

    def render_line(self, y: int) -> Strip:
        """Return the strip at ``y``: the scale on top stays in sight."""
        width = self.scrollable_content_region.width
        if self._chart is None or width <= 0:
            return self.paint((), max(width, 0))
        window, labels = self._window(), self._labels()
        if y < HEAD:
            return self.paint(head_lines(self._chart, window, labels)[y], width)
        index = y - HEAD + self.scroll_offset.y
        if not self._chart.rows and y == HEAD:
            return self.paint(line((f" {NOTHING}", Role.QUIET)), width)
        if index >= len(self._chart.rows):
            return self.paint((), width)
        place = self._chart.place(self._chosen)
        chosen = self._chosen if place is not None and place[0] == index else ""
        key = (index, window, width, chosen)
        if key not in self._strips:
            if len(self._strips) > MOST_STRIPS:
                self._strips.clear()
            row = self._chart.rows[index]
            runs = row_line(row, self._chart, window, labels, chosen, bool(chosen))
            self._strips[key] = self.paint(runs, width)
        return self._strips[key]

    def notify_style_update(self) -> None:
        """Draw in the new colours."""
        super().notify_style_update()
        self._strips.clear()

    def choose(self, step_id: str) -> None:
        """Choose a step and bring it into sight."""
        self._choose(step_id)

    def _choose(self, step_id: str) -> None:
        if step_id and step_id != self._chosen:
            self._chosen = step_id
            self._into_sight()
            self.post_message(self.Chosen(step_id))
        self.refresh()

    def _into_sight(self) -> None:
        place = self._chart.place(self._chosen) if self._chart else None
        if place is None or self._chart is None or self.scrollable_content_region.width <= 0:
            return
        index, position = place
        self.scroll_to_region(
            Region(0, index, 1, 1 + HEAD), animate=False, force=True, immediate=True
        )
        window = self._window()
        cell = window.cell(self._chart.rows[index].starts_s[position])
        margin = max(window.width // 10, 1)
        if not margin <= cell < window.width - margin:
            self._start_s = window.moved(cell - window.width // PART_OF_SCREEN).start_s

    def action_step(self, by: int) -> None:
        """Choose the step before or after in the row."""
        if self._chart:
            self._choose(neighbour(self._chart, self._chosen, 0, by))

    def action_row(self, by: int) -> None:
        """Choose the step nearest in time in the next row."""
        if self._chart:
            self._choose(neighbour(self._chart, self._chosen, by, 0))

    def action_zoom(self, by: int) -> None:
        """Make a cell stand for less or more time; the chosen step stays where it is."""
        if self._chart is None:
            return
        zoom = min(max(self._zoom + by, 0), len(ZOOMS) - 1)
        window, place = self._window(), self._chart.place(self._chosen)
        at_s = self._chart.rows[place[0]].starts_s[place[1]] if place else self._chart.now_s
        cell = window.cell(at_s)
        lead = cell if 0 <= cell < window.width else window.width // PART_OF_SCREEN
        at = dt.datetime.fromtimestamp(at_s, dt.UTC)
        self._zoom = zoom
        self._start_s = window_at(at, self._chart.zone, ZOOMS[zoom], window.width, lead).start_s
        self.post_message(self.Chosen(self._chosen))
        self.refresh()

    def action_pan(self, by: int) -> None:
        """Move the stretch by a third of the screen."""
        if self._chart is not None:
            window = self._window()
            self._start_s = window.moved(by * max(window.width // PART_OF_SCREEN, 1)).start_s
            self.refresh()

    def action_now(self) -> None:
        """Bring now into sight again."""
        self._start_s = None
        self.refresh()

    def action_follow(self) -> None:
        """Choose the step whose drying the chosen one waits for."""
        place = self._chart.place(self._chosen) if self._chart else None
        if place is None or self._chart is None:
            return
        step = self._chart.rows[place[0]].steps[place[1]]
        if step.waits_for is None:
            self.app.notify("This step waits for no drying.", markup=False)
        else:
            self._choose(step.waits_for.step)

    def on_click(self, event: events.Click) -> None:
        """Choose the step nearest to where the mouse is."""
        index = event.y - HEAD + self.scroll_offset.y
        if self._chart is None or not 0 <= index < len(self._chart.rows):
            return
        row = self._chart.rows[index]
        if row.steps:
            window = self._window()
            at_s = window.start_s + (event.x - self._labels()) * window.cell_s
            nearest = min(range(len(row.steps)), key=lambda i: abs(row.starts_s[i] - at_s))
            self._choose(row.steps[nearest].id)
