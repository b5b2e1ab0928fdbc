"""A table drawn line by line: thousands of rows cost no more than the few that show."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import ClassVar

from textual import events
from textual.binding import Binding, BindingType
from textual.geometry import Region, Size
from textual.message import Message
from textual.reactive import reactive
from textual.scroll_view import ScrollView
from textual.strip import Strip

from finplan.tui.models.paint import Role, line
from finplan.tui.models.table import (
    Fit,
    Row,
    Search,
    Table,
    Texts,
    as_text,
    fit,
    header_line,
    natural_widths,
    row_line,
)
from finplan.tui.widgets.painter import Painter

MARK = "▸ "
AT_ONCE = 100
"""Rows looked through before the event loop has its turn: assumption, some 3 ms of work."""
PAUSE_S = 0.001


class OfRow(Message):
    """Something happened to the row of a table that has a key."""

    def __init__(self, view: TableView, key: str) -> None:
        self.view = view
        self.key = key
        super().__init__()

    @property
    def control(self) -> TableView:
        """The table it happened in."""
        return self.view


class TableView(Painter, ScrollView, can_focus=True):
    """Rows with a cursor. Enter chooses, ``/`` filters, ``y`` copies."""

    HELP = "Move with the arrows or j and k; g and G jump to the first and last row."

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("down,j", "move(1)", "Down", show=False, id="list.down"),
        Binding("up,k", "move(-1)", "Up", show=False, id="list.up"),
        Binding("pagedown", "page(1)", "Page down", show=False, id="list.page_down"),
        Binding("pageup", "page(-1)", "Page up", show=False, id="list.page_up"),
        Binding("home,g", "jump(0)", "First", show=False, id="list.first"),
        Binding("end,G", "jump(-1)", "Last", show=False, id="list.last"),
        Binding("enter", "choose", "Open", show=False, id="list.open"),
    ]

    table: reactive[Table] = reactive(Table((), ()), layout=False)
    cursor: reactive[int] = reactive(0)
    words: reactive[str] = reactive("")

    class Chosen(OfRow):
        """A row was chosen with enter or a second click."""

    class Moved(OfRow):
        """The cursor stands on another row (``key`` is empty when there is none)."""

    def __init__(self, *, header: bool = True, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self._header = header
        self._visible: tuple[int, ...] = ()
        self._texts = Texts(())
        self._natural: tuple[int, ...] = ()
        self._search: Search | None = None
        self._fit = Fit(())

    def show(self, table: Table) -> None:
        """Show another table and keep the cursor on the same row where it still exists."""
        if table == self.table:
            return
        key = self.key
        self.set_reactive(TableView.table, table)
        self._texts = Texts(table.rows)
        self._natural = natural_widths(table)
        self._refilter(key)

    @property
    def row(self) -> Row | None:
        """The row under the cursor."""
        if 0 <= self.cursor < len(self._visible):
            return self.table.rows[self._visible[self.cursor]]
        return None

    @property
    def key(self) -> str:
        """The key of the row under the cursor, empty when there is none."""
        row = self.row
        return row.key if row else ""

    def go_to(self, key: str) -> None:
        """Put the cursor on the row with ``key`` if it shows."""
        for position, index in enumerate(self._visible):
            if self.table.rows[index].key == key:
                self.cursor = position
                return

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """Return the height all rows need; ``max-height`` may allow less."""
        return max(len(self._visible) + self._head, 1)

    def _refilter(self, key: str) -> None:
        """Look which rows have the words; a long list is looked through in pieces."""
        # Until all is looked through the rows found before show, as far as there still are so many.
        self._visible = tuple(at for at in self._visible if at < len(self.table.rows))
        self._layout_columns()
        self._search = Search(self._texts, self.words)
        self._look_on(self._search, key)

    def _look_on(self, search: Search, key: str) -> None:
        if search is not self._search:
            return  # other words or rows came meanwhile
        search.look(AT_ONCE)
        if search.done:
            self._search = None
            self._found(tuple(search.found), key)
        else:
            # By a timer: what is called later runs before the loop has its turn.
            self.set_timer(PAUSE_S, partial(self._look_on, search, key))

    def _found(self, visible: tuple[int, ...], key: str) -> None:
        self._visible = visible
        self._layout_columns()
        before = self.cursor
        rows, last = self.table.rows, max(len(self._visible) - 1, 0)
        same = min(before, last)
        if not key or not self._visible or rows[self._visible[same]].key == key:
            after = same
        else:
            places = (at for at, index in enumerate(self._visible) if rows[index].key == key)
            after = next(places, same)
        if after == before:
            self.post_message(self.Moved(self, self.key))
        self.cursor = after
        self.refresh(layout=self.styles.is_auto_height)

    def _layout_columns(self) -> None:
        width = self.scrollable_content_region.width
        self._fit = fit(self.table, max(width - len(MARK), 1), self._natural)
        self.virtual_size = Size(width, len(self._visible) + self._head)

    @property
    def _head(self) -> int:
        return 1 if self._header and self.table.columns else 0

    def watch_words(self) -> None:
        """Filter again."""
        self._refilter(self.key)

    def watch_cursor(self) -> None:
        """Bring the cursor's row into sight and tell."""
        self.scroll_to_region(
            Region(0, self.cursor, 1, 1 + self._head), animate=False, force=True, immediate=True
        )
        self.refresh()
        self.post_message(self.Moved(self, self.key))

    def on_resize(self) -> None:
        """Fit the columns to the new width."""
        self._layout_columns()
        self.refresh()

    def render_line(self, y: int) -> Strip:
        """Return the strip at ``y`` of the visible part; the header stays in sight."""
        width = self.scrollable_content_region.width
        if self._head and y == 0 and self._visible:
            return self.paint(line("  ", *header_line(self.table, self._fit)), width)
        position = y - self._head + self.scroll_offset.y
        if not self._visible:
            empty = "No row has these words." if self.words else self.table.empty
            return self.paint(line((empty, Role.QUIET)) if y == 0 else (), width)
        if not 0 <= position < len(self._visible):
            return self.paint((), width)
        return self._row_strip(position, width)

    def _row_strip(self, position: int, width: int) -> Strip:
        row = self.table.rows[self._visible[position]]
        here = position == self.cursor
        mark = (MARK, Role.KEY) if here else ("  ", Role.PLAIN)
        runs = line(mark, *row_line(self.table, row, self._fit))
        if not here:
            return self.paint(runs, width)
        return self.paint(runs, width, self.cursor_style())

    def on_focus(self) -> None:
        """Show the cursor as live."""
        self.refresh()

    def on_blur(self) -> None:
        """Show the cursor as resting."""
        self.refresh()

    def on_click(self, event: events.Click) -> None:
        """Put the cursor where the mouse is; a second click chooses."""
        position = event.y - self._head + self.scroll_offset.y
        if not 0 <= position < len(self._visible):
            return
        if position == self.cursor or event.chain > 1:
            self.action_choose()
        self.cursor = position

    def action_move(self, by: int) -> None:
        """Move the cursor; at either end it stays."""
        if self._visible:
            self.cursor = min(max(self.cursor + by, 0), len(self._visible) - 1)

    def action_page(self, by: int) -> None:
        """Move by what fits on the screen."""
        self.action_move(by * max(self.scrollable_content_region.height - 1 - self._head, 1))

    def action_jump(self, where: int) -> None:
        """Go to the first (0) or last (-1) row."""
        self.action_move(-len(self._visible) if where == 0 else len(self._visible))

    def action_choose(self) -> None:
        """Choose the row under the cursor."""
        if self.key:
            self.post_message(self.Chosen(self, self.key))

    def to_copy(self) -> Callable[[], str]:
        """Return what makes text of the rows that show now: a header, and tabs between cells."""
        return partial(as_text, self.table, self._visible)
