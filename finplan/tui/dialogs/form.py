"""A form over the screen: what is typed is echoed as it was understood before it is saved."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.content import Content
from textual.strip import Strip
from textual.widgets import Button, Input, Label, Static

from finplan.trade.errors import BadInput
from finplan.tui.dialogs.dialog import Dialog
from finplan.tui.models.forms import Answer, Form, answer
from finplan.tui.models.paint import Line, cut, tidy
from finplan.tui.models.words import GOVERNS
from finplan.tui.settings import Memory
from finplan.tui.widgets.choice import Choice
from finplan.tui.widgets.fields import FAULTY, Fields
from finplan.tui.widgets.key_line import KeyLine
from finplan.tui.widgets.painter import Painter


class FormLine(Painter):
    """One line above the fields."""

    def __init__(self, runs: Line) -> None:
        super().__init__(classes="form-line")
        self._runs = runs

    def render_line(self, y: int) -> Strip:
        """Return the line."""
        return self.paint(cut(self._runs, self.size.width), self.size.width)


class FormSheet(VerticalScroll, inherit_bindings=False):
    """What a form holds; it follows the focus, and leaves the arrows to go from field to field."""


class FormDialog(Dialog[dict[str, object] | None]):
    """Answers with the values by key, or with None; then the texts stay as a draft."""

    HELP = "Tab and the arrows move between the fields, enter saves, esc goes back."
    HORIZONTAL_BREAKPOINTS = []  # noqa: RUF012
    VERTICAL_BREAKPOINTS = []  # noqa: RUF012

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "back", "Back, keep draft", id="form.back"),
        Binding("tab,down", "app.focus_next", "Next field", id="form.next"),
        Binding("up", "app.focus_previous", "Field before", show=False, id="form.before"),
        Binding("enter", "save", "Save", id="form.save"),
        Binding("f1", "app.explain", "Help", id="form.help"),
    ]

    def __init__(self, form: Form, memory: Memory, refused: BadInput | None = None) -> None:
        """``refused``: why what the form holds could not be kept; it goes with the next change."""
        super().__init__()
        self.form = form
        self._refused = refused
        self.texts = {one.key: one.initial for one in form.fields}
        self._memory = memory
        draft = memory.draft(form.key)
        self._from_draft = bool(draft)
        self._touched: set[str] = set()
        self.texts.update({key: text for key, text in draft.items() if key in self.texts})

    def compose(self) -> ComposeResult:
        """Title, lines, fields with their echoes, the fault, cautions, buttons."""
        with FormSheet(id="sheet", can_focus=False):
            yield Label(Content(tidy(self.form.title)), id="form-title")
            yield from (FormLine(runs) for runs in self.form.lines)
            if self._from_draft and not self._refused:
                yield Label(Content("Your draft from before is back."), classes="form-draft")
            yield Fields(self.form.fields, self.texts)
            yield Static("", id="form-fault")
            if self.form.cautions:
                yield from self._cautions()
            with Horizontal(id="form-buttons"):
                yield Button(f"{self.form.confirm} (enter)", id="save", compact=True)
                yield Button("Back (esc)", id="back", compact=True)
        yield KeyLine()

    def _cautions(self) -> ComposeResult:
        words = [f"▲ {tidy(caution)}" for caution in self.form.cautions]
        text = "\n".join([*words, GOVERNS])
        yield Static(Content(text), id="form-cautions")

    def on_mount(self) -> None:
        """Show at once how the first texts are understood."""
        self._echo()

    def on_input_changed(self, event: Input.Changed) -> None:
        """Read the texts again; a field tells of its first text too, which is no change."""
        key = str(event.input.id).removeprefix("field-")
        if event.value == self.texts[key]:
            return
        self._touched.add(key)
        self._refused = None
        self.texts[key] = event.value
        self._memory.keep_draft(self.form.key, self.draft)
        self._echo()

    def on_choice_changed(self, event: Choice.Changed) -> None:
        """Take the picked value."""
        self._refused = None
        self.texts[str(event.choice.id).removeprefix("field-")] = event.value
        self._memory.keep_draft(self.form.key, self.draft)
        self._echo()

    def on_input_submitted(self) -> None:
        """Enter in a field saves."""
        self.action_save()

    def on_button_pressed(self, event: Button.Pressed) -> None:
        """The buttons do what their keys do."""
        if event.button.id == "save":
            self.action_save()
        else:
            self.action_back()

    def _echo(self) -> Answer:
        understood = answer(self.form, self.texts)
        shown = {key: fault for key, fault in understood.faults.items() if key in self._touched}
        self.query_one(Fields).show({**understood.echoes, **dict.fromkeys(shown, FAULTY)})
        faults = [
            f"✗ {one.label}: {shown[one.key]}" for one in self.form.fields if one.key in shown
        ]
        if understood.together and self._touched == set(self.texts):
            faults.append(f"✗ {understood.together}")
        if self._refused is not None:
            faults.append(f"✗ {self._in_words(self._refused)}")
        told = self.query_one("#form-fault", Static)
        told.update(Content("\n".join(faults)))
        told.display = bool(faults)
        return understood

    def _in_words(self, fault: BadInput) -> str:
        """Return a fault; one at a field of the form calls it as the form does."""
        labels = {one.key: one.label for one in self.form.fields}
        where = labels.get(fault.where, fault.where)
        return tidy(f"{where}: {fault.what}" if where else fault.what)

    def action_save(self) -> None:
        """Answer with the values, or go to the first field that cannot be read."""
        values = self.understood()
        if values is not None:
            self.dismiss(values)

    def understood(self) -> dict[str, object] | None:
        """Return the values, or None and go to the first field that cannot be read."""
        self._touched = {one.key for one in self.form.fields}
        understood = self._echo()
        if understood.faults:
            first = next(one.key for one in self.form.fields if one.key in understood.faults)
            self.query_one(f"#field-{first}").focus()
            return None
        if understood.together:
            self.query_one("#form-fault").scroll_visible(animate=False)
            return None
        return dict(understood.values)

    def action_back(self) -> None:
        """Go back without saving; what was typed stays as a draft."""
        self.dismiss(None)

    @property
    def draft(self) -> dict[str, str]:
        """What was typed, where it differs from what was offered."""
        return {
            one.key: self.texts[one.key]
            for one in self.form.fields
            if self.texts[one.key] != one.initial
        }
