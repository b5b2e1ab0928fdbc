"""The command line does the main job on either database."""

from __future__ import annotations

import json

import pytest

from finplan.cli.app import main

NOW = "2026-10-05T17:00+02:00"


@pytest.fixture
def finplan(data, tmp_path, monkeypatch, capsys):
    """Run a command on the database and return what it printed."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "home"))
    monkeypatch.chdir(tmp_path)

    def run(*words):
        status = main(["--data", str(data), "--now", NOW, *words])
        told = capsys.readouterr()
        assert status == 0, told.err
        return told.out

    return run


def test_sample_plan_calendar_save_backup_restore(finplan, tmp_path):
    finplan("sample", "beech_worktop")
    plan = json.loads(finplan("plan", "beech_worktop", "--json"))
    assert plan["ready"] > plan["now"]
    assert any(step["kind"] == "coat" for step in plan["steps"])
    assert "new" in finplan("calendar", "beech_worktop", "-o", "shop.ics")
    first = (tmp_path / "shop.ics").read_bytes()
    assert "unchanged" in finplan("calendar", "beech_worktop", "-o", "shop.ics")
    assert (tmp_path / "shop.ics").read_bytes() == first
    finplan("save", "beech_worktop", "-o", "worktop.toml")
    finplan("backup", "shop.db")
    finplan("restore", "shop.db")
    assert "sound" in finplan("check")
    assert json.loads(finplan("plan", "beech_worktop", "--json")) == plan
    finplan("save", "beech_worktop", "-o", "again.toml")
    assert (tmp_path / "again.toml").read_bytes() == (tmp_path / "worktop.toml").read_bytes()
