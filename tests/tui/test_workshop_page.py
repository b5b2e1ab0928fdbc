"""The workshop's page: hours, days off and rooms are changed by keys, and the plan follows."""

from __future__ import annotations

import datetime as dt

import pytest
from textual.widgets import Input, Static

from finplan.cli.app import main
from finplan.services.session import open_session
from finplan.services.workshops import change_workshop, list_workshops, with_days_off, with_space
from finplan.tui.app import FinplanApp
from finplan.tui.commands import Actions
from finplan.tui.dialogs.form import FormDialog
from finplan.tui.models.paint import text_of
from finplan.tui.models.table import as_text
from finplan.tui.models.workshop import days_off, good_air
from finplan.tui.shop import Shop
from finplan.tui.widgets.fields import LABEL, Fields
from finplan.tui.widgets.lines import Lines
from finplan.tui.widgets.table_view import TableView
from tests.tui.conftest import settle, toasts

NOW = dt.datetime(2026, 10, 6, 17, 0, tzinfo=dt.UTC)
ROOM = "loft"
"""The room that the sample's project is made in."""
OLD = "weekday evenings 18:30 to 21:30; Sat 08:00 to 17:00"


@pytest.fixture
def data(door):
    return door


def only(data):
    with open_session(data, NOW) as session:
        (shop,) = list_workshops(session)
    return shop


def table(app, name):
    return as_text(app.screen.query_one(f"#{name}", TableView).table)


async def opened(pilot, *keys):
    await settle(pilot)
    await pilot.press("S")
    await settle(pilot)
    pilot.app.screen.query_one("#people").focus()
    await pilot.press(*keys)
    await settle(pilot)


async def to_room(pilot, *keys):
    await opened(pilot, "tab", "tab")
    pilot.app.screen.query_one("#rooms", TableView).go_to(ROOM)
    await pilot.press(*keys)


def room(data):
    return next(one for one in only(data).spaces if one.name == ROOM)


async def typed(pilot, **texts):
    """Fill in the form that is open, and send it."""
    await pilot.pause()
    for key, text in texts.items():
        pilot.app.screen.query_one(f"#field-{key}", Input).value = text
    await pilot.pause()
    await pilot.press("enter")
    await settle(pilot)
    await settle(pilot)


def fault(app):
    """The fault that stands in the form; empty where the form is gone or has none."""
    if not isinstance(app.screen, FormDialog):
        return ""
    return str(app.screen.query_one("#form-fault", Static).content)


async def test_a_key_and_the_palette_lead_to_hours_days_off_and_rooms(data):
    app = FinplanApp(Shop(data, NOW))
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        await opened(pilot)
        assert app.current_mode == "workshop"
        assert OLD in table(app, "people")
        rooms = table(app, "rooms").splitlines()[1:]
        assert [row.split("\t")[0] for row in rooms] == [one.name for one in only(data).spaces]
        hours = {row.split("\t")[0]: row.split("\t")[3:] for row in rooms}
        (told,) = hours.pop(ROOM)
        assert told.endswith(" h of work")
        assert list(hours.values()) == [["nothing to coat"]] * 2
        assert "No day off" in app.screen.query_one("#days-off", TableView).table.empty
        words = {hit.text: str(hit.display) async for hit in Actions(app.screen).discover()}
        assert words["The workshop: work hours, days off, rooms"].endswith("S")
        assert "Here: Change hours" in words


async def test_changed_hours_plan_anew_and_are_taken_back(data):
    app = FinplanApp(Shop(data, NOW))
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        await opened(pilot)
        before = app.view.planned.plan.ready[0].safe
        await pilot.press("e")
        await typed(pilot, hours="tue evenings 7-9")
        assert "Tue evenings 19:00 to 21:00" in table(app, "people")
        assert app.view.planned.plan.ready[0].safe > before
        assert "hours of maker" in toasts(app) and "u undoes" in toasts(app)
        await pilot.press("u")
        await settle(pilot)
        assert OLD in table(app, "people")
        assert app.view.planned.plan.ready[0].safe == before
        await pilot.press("r")
        await settle(pilot)
        assert "Tue evenings 19:00 to 21:00" in table(app, "people")


async def test_days_off_in_a_row_are_one_line_and_come_back_as_one(data):
    app = FinplanApp(Shop(data, NOW))
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        await opened(pilot, "o")
        await typed(pilot, first="2026-10-08", last="12 Oct")
        assert "Thu 8 Oct to Mon 12 Oct\tmaker\t5" in table(app, "days-off")
        assert len(only(data).people[0].days_off) == 5
        off = only(data).people[0].days_off
        zone = app.view.planned.zone
        work = [step for step in app.view.steps if step.person and not step.done]
        assert work and not any(step.start.astimezone(zone).date() in off for step in work)
        await pilot.press("tab", "x")
        await settle(pilot)
        assert only(data).people[0].days_off == ()
        assert "Oct" not in table(app, "days-off")


def test_days_off_that_are_past_are_left_out_and_gaps_part_the_rest(data):
    days = [dt.date(2026, 10, day) for day in (1, 6, 7, 9)]
    with open_session(data, NOW) as session:
        change_workshop(session, None, [with_days_off(None, tuple(days))])
    found = days_off(Shop(data, NOW).read())
    assert [(off.first, off.last) for off in found] == [(days[1], days[2]), (days[3], days[3])]


async def test_people_come_and_go_but_for_the_last(data):
    app = FinplanApp(Shop(data, NOW))
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        await opened(pilot, "a")
        await typed(pilot, name="Kim", hours="weekend mornings 9-12", can="sand, wipe off")
        assert "Kim\tweekend mornings 09:00 to 12:00\tonly sand, wipe off" in table(app, "people")
        await pilot.press("down", "x")
        await settle(pilot)
        await pilot.press("x")
        await settle(pilot)
        assert "maker is the last one: somebody has to work" in toasts(app)
        assert [one.name for one in only(data).people] == ["maker"]


async def test_a_rack_is_given_in_the_units_that_show(data):
    app = FinplanApp(Shop(data, NOW, "imperial"))
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        await to_room(pilot, "enter")
        await pilot.pause()
        assert "ft²" in app.screen.query_one("#field-rack_area_m2", Input).value
        await typed(pilot, rack_area_m2="40", temperature_c="65", humidity_percent="50")
        assert room(data).rack_area_m2 == pytest.approx(3.716, abs=1e-3)
        assert room(data).normals.mean_c[0] == pytest.approx(18.33, abs=0.01)
        assert "40 ft²" in table(app, "rooms") and "65 °F, 50 % RH" in table(app, "rooms")


async def test_a_form_sent_unchanged_changes_nothing(data):
    before = only(data)
    app = FinplanApp(Shop(data, NOW, "imperial"))
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        for keys in (("e",), ("tab", "tab", "e")):
            await opened(pilot, *keys)
            await pilot.press("enter")
            await settle(pilot)
            assert "nothing was changed" in toasts(app)
            await pilot.press("1")
    assert only(data) == before


async def test_what_the_service_refuses_stands_in_the_form_that_stays(data, capsys):
    words = ("workshop", "--space", ROOM, "--rack", "0.001 m2")
    assert main(["--data", data, "--now", NOW.isoformat(), *words]) == 2
    told = capsys.readouterr().err.strip().removeprefix("finplan: ").rstrip(".")
    app = FinplanApp(Shop(data, NOW))
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        await to_room(pilot, "e")
        await typed(pilot, rack_area_m2="0.001 m2")
        said = " ".join(fault(app).split())
        assert said.removeprefix("✗ ") in " ".join(told.split()) and "of the rack" in said
        assert app.screen.query_one("#field-rack_area_m2", Input).value == "0.001 m2"
        await typed(pilot, rack_area_m2="3 m2")
        assert not isinstance(app.screen, FormDialog)
        assert room(data).rack_area_m2 == 3


BAD = [
    (("e",), {"hours": "someday 8-9"}, "'someday' is no weekday"),
    (("e",), {"hours": "sat 17-8"}, "ends before it begins"),
    (("e",), {"hours": ""}, "names no work hours"),
    (("e",), {"can": "sandd"}, "did you mean 'sand'"),
    (("a",), {"name": " ", "hours": "sat 8-9"}, "name the person"),
    (("a",), {"name": "maker", "hours": "sat 8-9"}, "works here already"),
    (("a",), {"name": "x" * 300, "hours": "sat 8-9"}, "letters are too many"),
    (("o",), {"first": ""}, "no day given"),
    (("o",), {"first": "4/5"}, "can be 4 May or 5 Apr"),
    (("o",), {"first": "2026-10-01"}, "is past"),
    (("o",), {"first": "2026-10-09", "last": "2026-10-08"}, "before the first"),
    (("o",), {"first": "2026-10-09", "last": "2028-10-08"}, "give a year at most"),
    (("tab", "tab", "e"), {"rack_area_m2": "much"}, "much"),
    (("tab", "tab", "e"), {"rack_area_m2": "-1 m2"}, "-1"),
    (("tab", "tab", "e"), {"temperature_c": "18 C"}, "both warmth and humidity"),
    (("tab", "tab", "e"), {"temperature_c": "18 C", "humidity_percent": "140"}, "140"),
    (("tab", "tab", "e"), {"temperature_c": "300 C", "humidity_percent": "50"}, "300"),
    (("tab", "tab", "a"), {"name": "attic", "rack_area_m2": "2 m2"}, "Warmth"),
    (("tab", "tab", "a"), {"name": "loft", "rack_area_m2": "2 m2", "temperature_c": "18 C",
                           "humidity_percent": "50"}, "there is a room loft already"),
]  # fmt: skip


async def test_bad_input_in_every_field_is_one_sentence_in_the_form(data):
    before = only(data)
    app = FinplanApp(Shop(data, NOW))
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        for keys, texts, said in BAD:
            await opened(pilot, *keys)
            await typed(pilot, **texts)
            assert isinstance(app.screen, FormDialog), (keys, texts)
            assert said in " ".join(fault(app).split()), (keys, texts, fault(app))
            app.memory.keep_draft(app.screen.form.key, {})
            await pilot.press("escape", "1")
    assert only(data) == before


async def test_without_hours_there_is_no_plan_and_the_page_gives_them_back(data):
    app = FinplanApp(Shop(data, NOW))
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        await opened(pilot, "e")
        await typed(pilot, hours="none")
        assert app.view.planned is None and app.view.fault
        assert "maker\tno hours" in table(app, "people")
        assert only(data).spaces[0].name in table(app, "rooms")
        await pilot.press("1")
        await settle(pilot)
        lines = app.screen.query_one("#drying", Lines).in_full(70)
        assert "S changes" in " ".join(text_of(one) for one in lines)
        await opened(pilot, "e")
        await typed(pilot, hours="sat 8-17")
        assert app.view.planned is not None


async def test_with_nothing_in_the_database_the_page_says_how_to_begin(nothing):
    app = FinplanApp(Shop(nothing, NOW))
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        await opened(pilot)
        assert "N begins one" in app.screen.query_one("#people", TableView).table.empty
        for key in ("e", "a", "o", "x"):
            await pilot.press(key)
            await settle(pilot)
            assert not isinstance(app.screen, FormDialog)


async def test_hours_and_days_are_the_workshop_s_own_wherever_the_person_is(data):
    late = dt.datetime(2026, 10, 6, 23, 30, tzinfo=dt.UTC)  # the 7th in the shop, the 6th in Denver
    app = FinplanApp(Shop(data, late, zone="America/Denver"))
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        await opened(pilot)
        shop = app.view.workshop
        assert f"as in {shop.zone}" in str(app.screen.query_one("#people-panel").border_title)
        assert OLD in table(app, "people")
        await pilot.press("o")
        await typed(pilot, first="today")
        assert only(data).people[0].days_off == (dt.date(2026, 10, 7),)


async def test_a_wide_field_shows_all_that_was_understood(data):
    app = FinplanApp(Shop(data, NOW))
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        await opened(pilot, "e")
        await pilot.pause()
        app.screen.query_one("#field-hours", Input).value = "mon-fri 18:30-21:30 sat 8-17"
        await pilot.pause()
        fields = app.screen.query_one(Fields)
        drawn = ["".join(one.text for one in fields.render_line(y)) for y in range(3)]
        assert drawn[0].startswith("Works") and OLD in drawn[1] and drawn[2].startswith("Can do")
        for place, y in (("hours", 0), ("can", 2)):
            field = app.screen.query_one(f"#field-{place}")
            assert field.region.y == fields.region.y + y
            assert field.region.x == fields.region.x + LABEL


def test_good_air_is_counted_in_the_hours_that_are_both_good_and_worked(data):
    with open_session(data, NOW) as session:
        change_workshop(session, None, [with_space(ROOM, None, (20.0, 50.0))])
    view = Shop(data, NOW).read()
    told = good_air(view, ROOM)
    assert told
    for one in told:
        # 5 evenings of 3 h, and one Saturday of 9 h, all of them in good air
        assert (one.hours, one.of_work) == (7 * 24, 24)
