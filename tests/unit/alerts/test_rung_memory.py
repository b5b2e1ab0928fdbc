"""Nothing rings twice, nothing undelivered counts as rung, two timers ring once."""

import datetime as dt
import subprocess
import sys
from pathlib import Path

import pytest

from finplan.alerts.notice import NotDelivered
from finplan.alerts.rung import Alarm, deliver, opened
from finplan.trade.errors import BadInput

NOW = dt.datetime(2026, 10, 3, 7, 0, tzinfo=dt.UTC)
ROOT = Path(__file__).parents[3]
ONE, TWO = Alarm("one", "One", ""), Alarm("two", "Two", "")


def rung_at(path, alarms, send, now=NOW):
    with opened(path) as rung:
        return deliver(alarms, rung, send, now)


def test_what_rang_does_not_ring_again_in_another_run(tmp_path):
    path, heard = tmp_path / "data" / "rung.json", []
    assert rung_at(path, [ONE, TWO], heard.append).delivered == ("one", "two")
    assert rung_at(path, [ONE, TWO, ONE], heard.append).delivered == ()
    assert heard == [ONE, TWO]


def test_what_was_not_delivered_rings_the_next_time(tmp_path):
    path = tmp_path / "rung.json"

    def refuse(alarm):
        if alarm is TWO:
            raise NotDelivered("no desktop")

    first = rung_at(path, [ONE, TWO], refuse)
    assert (first.delivered, first.failures) == (("one",), ("no desktop",))
    assert rung_at(path, [ONE, TWO], lambda alarm: None).delivered == ("two",)


def test_one_that_rang_is_remembered_though_the_run_broke_off(tmp_path):
    path = tmp_path / "rung.json"

    def break_off(alarm):
        if alarm is TWO:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        rung_at(path, [ONE, TWO], break_off)
    assert rung_at(path, [ONE], lambda alarm: None).delivered == ()


def test_a_second_timer_finds_it_locked_and_a_dead_one_leaves_no_lock(tmp_path):
    path = tmp_path / "rung.json"
    look = (
        "import sys; from pathlib import Path; from finplan.alerts.rung import opened\n"
        "with opened(Path(sys.argv[1])) as rung: print(rung is None)"
    )

    def other_process():
        done = subprocess.run(
            [sys.executable, "-c", look, str(path)],
            cwd=ROOT,
            capture_output=True,
            text=True,
            check=True,
        )
        return done.stdout.strip()

    with opened(path) as rung:
        assert rung is not None
        assert other_process() == "True"
    assert other_process() == "False"


def test_a_broken_memory_counts_as_empty_and_old_keys_are_forgotten(tmp_path):
    path = tmp_path / "rung.json"
    for broken in ("", "{", "[]", '{"one": 3}'):
        path.write_text(broken)
        with opened(path) as rung:
            assert rung.keys == frozenset()
    rung_at(path, [ONE], lambda alarm: None)
    rung_at(path, [TWO], lambda alarm: None, NOW + dt.timedelta(days=61))
    with opened(path) as rung:
        assert rung.keys == {"two"}


def test_a_folder_that_is_a_file_is_one_sentence(tmp_path):
    (tmp_path / "data").write_text("")
    with pytest.raises(BadInput, match="can't be written"), opened(tmp_path / "data" / "r.json"):
        pass
