"""A new can is named where its coat is recorded."""

from __future__ import annotations

import datetime as dt

from textual.widgets import Input

from finplan.services.journal import entries_of
from finplan.services.session import open_session
from finplan.trade.steps import WET_KINDS
from finplan.tui.app import FinplanApp
from finplan.tui.dialogs.form import FormDialog
from finplan.tui.shop import Shop
from tests.tui.conftest import settle

NOW = dt.datetime(2026, 10, 6, 17, 0, tzinfo=dt.UTC)


async def test_a_coat_s_can_is_in_the_journal(door):
    data = door
    app = FinplanApp(Shop(data, NOW))
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        for name in ("", "B"):
            wet = name != ""
            step = next(s for s in app.view.steps if not s.done and (s.kind in WET_KINDS) == wet)
            app.ask_about(step, "done")
            await pilot.pause()
            assert isinstance(app.screen, FormDialog)
            assert bool(app.screen.query("#field-can")) == wet
            for field in app.screen.query("#field-can").results(Input):
                field.value = name
            await pilot.press("enter")
            await settle(pilot)
        assert cans(data) == [None, "B"]
        for name, kept in (("C", "C"), ("", None)):
            app.ask_correction(next(e for e in app.view.entries if e.details.get("can")))
            await pilot.pause()
            app.screen.query_one("#field-can", Input).value = name
            await pilot.press("enter")
            await settle(pilot)
            assert cans(data)[-1] == kept


def cans(data):
    """The can of each entry, or the one its correction names."""
    with open_session(data, NOW) as session:
        return [one.entry.details.get("can") for one in entries_of(session)]
