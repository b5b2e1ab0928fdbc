"""Bad input in every field of the upkeep's forms: one sentence, and nothing is kept."""

from __future__ import annotations

import pytest
from textual.widgets import Static

from finplan.tui.dialogs.form import FormDialog
from finplan.tui.screens.upkeep import UpkeepPage
from tests.tui.conftest import settle, toasts
from tests.tui.upkeep_house import pieces, upkeep, write

PIECE = {
    "title": ("", "What: nothing written: name it"),
    "place": (" ", "Place: nothing written: say where it is"),
    "finish": ("penetrating oyl", "Finish: there is no finish 'penetrating oyl'"),
    "coats": ("two", "Coats: write how many coats it has, 1 to 50"),
    "area_m2": ("much", "Area: 'much' is no area"),
    "installed": ("4/5", "In use: '4/5' can be 4 May or 5 Apr"),
    "wood": ("x" * 90, "Wood: too long"),
    "thickness_mm": ("thick", "Boards: 'thick' is no length"),
    "taken_up": ("x" * 2100, "Taken up: too long"),
    "may_be_out_hours": ("long", "Downtime: 'long' is no duration"),
    "season": ("apr-", "Season: 'apr-' is no season"),
    "days": ("someday", "Days: 'someday' are no days"),
    "blocked": ("2027-07-01..", "No work: '2027-07-01..' are no days"),
    "renew_rule": ("now and then", "Renew: 'now and then' is no cycle"),
    "inspect_rule": ("FREQ=YEARLY;COUNT=2", "Look: these days come again without end"),
    "clean_rule": ("0 weeks", "Clean: '0 weeks' is no cycle"),
    "zone": ("Atlantis", "Time zone: 'Atlantis' is no time zone"),
}
TOLD = {
    "at": ("soon", "'soon' is no date or time"),
    "by": ("x" * 90, "By: too long"),
    "photos": (";".join(["a.jpg"] * 51), "Photos: keep 50 photographs at most"),
    "note": ("x" * 2100, "Note: too long"),
}
DONE = TOLD | {
    "litres": ("a lot", "Used up: 'a lot' is no volume"),
    "cost": ("-3", "Cost: write what it cost, 0 or more"),
}
BLOCK = {
    "first": ("2027-02-30", "From: there is no 30 Feb 2027"),
    "last": ("later", "To: 'later' is no date"),
    "why": ("x" * 90, "Why: too long"),
    "calendar": ("none.ics", "Calendar: there is no file 'none.ics'"),
}
FORMS = {"e": PIECE, "i": PIECE, "c": TOLD, "d": DONE, "b": BLOCK, "o": TOLD}


@pytest.mark.parametrize("key", FORMS)
async def test_each_field_that_cannot_be_read_is_one_sentence(jetty, key):
    before = pieces(jetty)
    async with upkeep(jetty, "steps", size=(80, 24)) as (app, pilot):
        await pilot.press(key)
        await pilot.pause()
        form = app.screen
        offered = dict(form.texts)
        for field, (text, said) in FORMS[key].items():
            others = {
                "title": "Bench",
                "place": "x",
                "finish": "penetrating oil",
                "area_m2": "1 m2",
            }
            write(app, **(others if key == "i" else {}))
            write(app, **{field: text})
            await pilot.pause()
            form.action_save()
            await pilot.pause()
            assert app.screen is form, f"{field} was taken"
            told = str(form.query_one("#form-fault", Static).content).splitlines()
            assert [said in line for line in told] == [True], (field, told)
            write(app, **{field: offered[field]})
            await pilot.pause()
        await pilot.press("escape")
        await settle(pilot)
        assert isinstance(app.screen, UpkeepPage)
    assert pieces(jetty) == before


@pytest.mark.parametrize(
    ("field", "text", "said"),
    [
        ("workshop", "nowhere", "there is no workshop 'nowhere'"),
        ("wood", "larh", "no wood is called 'larh'"),
        ("blocked", "9999-12-31", "year 9999 is outside"),
    ],
)
async def test_what_only_the_store_refuses_is_told_and_the_draft_kept(jetty, field, text, said):
    before = pieces(jetty)
    async with upkeep(jetty, "steps", size=(80, 24)) as (app, pilot):
        await pilot.press("e")
        await pilot.pause()
        write(app, **{field: text})
        await pilot.pause()
        await pilot.press("enter")
        await settle(pilot)
        if isinstance(app.screen, FormDialog):
            assert said in str(app.screen.query_one("#form-fault", Static).content)
        else:
            assert said in toasts(app)
            await pilot.press("e")
            await pilot.pause()
        assert app.screen.texts[field] == text
    assert pieces(jetty) == before
