"""The workshop: who works when, days off, rooms; each can be changed, and the plan follows."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical

from finplan.services.workshops import Change, with_days_off, without_person
from finplan.trade.workshop import Workshop
from finplan.tui.models import workshop as model
from finplan.tui.models.forms import Form
from finplan.tui.models.view import View
from finplan.tui.models.workshop_forms import Changes, day_off_form, person_form, room_form
from finplan.tui.screens.page import Page
from finplan.tui.widgets.lines import Lines, entitle
from finplan.tui.widgets.table_view import TableView


class PeopleList(TableView):
    """Who works when."""

    HELP = (
        "The people. e changes the marked one's hours, a adds somebody, o gives a day off, x lets "
        "the marked one leave. Hours are written as weekday evenings 6-9, sat 8-17."
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("e", "screen.change_person", "Change hours", id="workshop.hours"),
        Binding("a", "screen.add_person", "Add", id="workshop.person"),
        Binding("o", "screen.add_day_off", "Day off", id="workshop.off"),
        Binding("x", "screen.let_leave", "Leaves", show=False, id="workshop.leaves"),
    ]


class DaysOff(TableView):
    """Days without work."""

    HELP = "The days off to come. a adds one or several in a row, x takes the marked ones back."

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("a,o", "screen.add_day_off", "Day off", id="workshop.off"),
        Binding("x", "screen.back_on", "Work again", id="workshop.back"),
    ]


class RoomList(TableView):
    """The rooms where wet work stands."""

    HELP = (
        "The rooms. e changes the marked one's rack and usual air, a adds one. Good air: the hours "
        "of the next 7 days in which what is still to go on there may go on, and those of them in "
        "which somebody works; of several finishes the one with the fewest."
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("e", "screen.change_room", "Change room", id="workshop.change_room"),
        Binding("a", "screen.add_room", "Add", id="workshop.room"),
    ]


class WorkshopPage(Page):
    """Work hours, days off and rooms of the workshop that shows."""

    AREA = "workshop"
    HELP = (
        "Who works when, days off, and the rooms with rack and air. Tab goes from list to list. "
        "Every change plans the workshop's projects anew; u takes it back. W shows the next "
        "workshop."
    )

    def body(self) -> ComposeResult:
        """People, days off, rooms, and words on what is marked."""
        with Horizontal(id="workshop-page"):
            with Vertical(id="workshop-main"):
                with Vertical(id="people-panel", classes="panel"):
                    yield PeopleList(id="people")
                with Vertical(id="days-panel", classes="panel"):
                    yield DaysOff(id="days-off")
                with Vertical(id="rooms-panel", classes="panel"):
                    yield RoomList(id="rooms")
                    yield Lines(id="marked")
            yield Lines(id="workshop-words", classes="panel side")

    def show(self, view: View) -> None:
        """Fill the lists."""
        shop = view.workshop
        entitle(self.query_one("#people-panel"), model.workshop_title(shop, view.zone))
        entitle(self.query_one("#days-panel"), "Days off")
        entitle(self.query_one("#rooms-panel"), "Rooms")
        self.query_one("#people", TableView).show(model.people_table(view))
        self.query_one("#days-off", TableView).show(model.days_table(view))
        self.query_one("#rooms", TableView).show(model.rooms_table(view))
        words = self.query_one("#workshop-words", Lines)
        entitle(words, "About")
        words.show(lambda w, h: model.workshop_words(shop, w))
        self._explain()

    def _explain(self) -> None:
        """Say in full what the list that has the focus cuts short."""
        view = self.owner.view
        if view is None:
            return
        rooms = self.focused is not None and self.focused.id == "rooms"
        key = self.query_one("#rooms" if rooms else "#people", TableView).key
        words = model.room_words if rooms else model.person_words
        self.query_one("#marked", Lines).show(lambda w, h: words(view, key, w))

    def on_table_view_moved(self) -> None:
        """Tell of another row."""
        self._explain()

    def on_table_view_chosen(self, event: TableView.Chosen) -> None:
        """Enter changes the marked person or room."""
        if event.view.id == "people":
            self.action_change_person()
        elif event.view.id == "rooms":
            self.action_change_room()

    def on_descendant_focus(self) -> None:
        """Tell of the row marked in another list."""
        self._explain()

    def _here(self) -> tuple[View, Workshop] | None:
        """Return the view and its workshop; where there is none yet, say so."""
        view = self.owner.view
        if view is None or view.workshop is None:
            self.owner.say(model.NOTHING)
            return None
        return view, view.workshop

    def _ask(self, shop: Workshop, asked: tuple[Form, Changes]) -> None:
        form, changes = asked
        self.owner.ask(form, lambda values: self._change(shop, *changes(values)))

    def _change(self, shop: Workshop, *changes: Change) -> None:
        """Keep changes of the workshop, and have everything planned anew."""
        data = self.owner.shop
        self.owner.act("", lambda: data.change_workshop(shop.name, changes))

    def _marked(self, table: str) -> str:
        return self.query_one(f"#{table}", TableView).key

    def action_change_person(self) -> None:
        """Ask for the marked person's hours."""
        here, name = self._here(), self._marked("people")
        if here is not None and name:
            _, shop = here
            person = next(one for one in shop.people if one.name == name)
            self._ask(shop, person_form(shop, person))

    def action_add_person(self) -> None:
        """Ask for somebody new."""
        here = self._here()
        if here is not None:
            self._ask(here[1], person_form(here[1], None))

    def action_let_leave(self) -> None:
        """Let the marked person leave."""
        here, name = self._here(), self._marked("people")
        if here is not None and name:
            self._change(here[1], without_person(name))

    def action_add_day_off(self) -> None:
        """Ask for days off."""
        here = self._here()
        if here is not None and here[1].people:
            view, shop = here
            self._ask(shop, day_off_form(shop, self._marked("people"), view.now))

    def action_back_on(self) -> None:
        """Take the marked days off back."""
        here, key = self._here(), self._marked("days-off")
        if here is not None and key:
            view, shop = here
            off = next(one for one in model.days_off(view) if one.key == key)
            self._change(shop, with_days_off(off.who, back=off.days))

    def action_change_room(self) -> None:
        """Ask for the marked room's rack and usual air."""
        here, name = self._here(), self._marked("rooms")
        if here is not None and name:
            view, shop = here
            space = next(one for one in shop.spaces if one.name == name)
            self._ask(shop, room_form(shop, space, view.measures))

    def action_add_room(self) -> None:
        """Ask for a new room."""
        here = self._here()
        if here is not None:
            view, shop = here
            self._ask(shop, room_form(shop, None, view.measures))
