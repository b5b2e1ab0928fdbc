"""Other keys, colours, and drafts that survive a crash."""

from __future__ import annotations

import pytest
from textual.widgets import Input

from finplan.trade.errors import BadInput
from finplan.tui.app import FinplanApp
from finplan.tui.dialogs.form import FormDialog
from finplan.tui.keys import known_bindings
from finplan.tui.settings import Chosen, Memory, config_path, read_config
from tests.tui.conftest import settle
from tests.tui.demo_shop import DemoShop


def write(path, text):
    path.write_text(text, encoding="utf-8")
    return path


def test_no_file_means_the_keys_as_they_are(tmp_path):
    assert read_config(tmp_path / "none.toml", known_bindings()) == Chosen()


def test_an_unknown_action_is_refused_with_file_and_nearest_name(tmp_path):
    path = write(tmp_path / "config.toml", '[keys]\n"step.dne" = "x"\n')
    with pytest.raises(BadInput, match=r"config\.toml.*step\.done"):
        read_config(path, known_bindings())


@pytest.mark.parametrize(
    "text", ["[keys", "keys = 3", '[keys]\n"step.done" = 3', '[terminal]\ncolours = "teal"']
)
def test_a_wrong_file_is_one_sentence(tmp_path, text):
    with pytest.raises(BadInput, match="config"):
        read_config(write(tmp_path / "config.toml", text), known_bindings())


def test_the_file_may_be_named_in_the_environment(monkeypatch, tmp_path):
    monkeypatch.setenv("FINPLAN_CONFIG", str(tmp_path / "mine.toml"))
    assert config_path() == tmp_path / "mine.toml"


async def test_a_key_of_ones_own_works_in_place_of_the_usual_one(tmp_path):
    path = write(tmp_path / "config.toml", '[keys]\n"step.done" = "f3"\n')
    app = FinplanApp(DemoShop(), chosen=read_config(path, known_bindings()))
    async with app.run_test() as pilot:
        await settle(pilot)
        await pilot.press("d")
        assert not isinstance(app.screen, FormDialog)
        await pilot.press("f3")
        assert isinstance(app.screen, FormDialog)


async def test_a_draft_survives_a_crash_and_another_database_does_not_see_it(tmp_path):
    path = tmp_path / "state" / "terminal.json"
    app = FinplanApp(DemoShop(), Memory(path, "one.db"))
    async with app.run_test() as pilot:
        await settle(pilot)
        await pilot.press("d")
        app.screen.query_one("#field-note", Input).value = "ran out of oil"
        await pilot.pause()
        key = app.screen.form.key
    assert Memory(path, "one.db").draft(key) == {"note": "ran out of oil"}
    assert Memory(path, "two.db").draft(key) == {}


def test_a_broken_state_file_is_passed_over(tmp_path):
    path = write(tmp_path / "terminal.json", "{nonsense")
    memory = Memory(path)
    memory.keep_colours("daylight")
    assert Memory(path).colours == "daylight"
