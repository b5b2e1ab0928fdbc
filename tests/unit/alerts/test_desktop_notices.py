"""Desktop notices on a real bus with a small service of the tests: delivered, or said to be not."""

import io
import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from finplan.alerts import notice
from finplan.alerts.bell import ring
from finplan.alerts.notice import NotDelivered, Notice, send_notice

SERVICE = Path(__file__).parent / "notice_service.py"
ROOT = Path(__file__).parents[3]
SEND = """
import subprocess, sys
from finplan.alerts.notice import Notice, NotDelivered, send_notice
service = None
if sys.argv[1] != "none":
    service = subprocess.Popen([sys.executable, *sys.argv[3:], sys.argv[1], sys.argv[2]],
                               stdout=subprocess.PIPE)
    service.stdout.readline()
try:
    send_notice(Notice("Second coat", "6 < 7 & <b>safe</b> 18:30"))
    print("delivered")
except NotDelivered as failure:
    print(failure)
finally:
    if service:
        service.kill()
        service.wait()
"""
on_a_bus = pytest.mark.skipif(
    sys.platform != "linux" or shutil.which("dbus-run-session") is None,
    reason="needs dbus-run-session",
)


def sent(mode, tmp_path):
    log = tmp_path / "shown"
    done = subprocess.run(
        ["dbus-run-session", "--", sys.executable, "-c", SEND, mode, str(log), str(SERVICE)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    shown = [json.loads(line) for line in log.read_text().splitlines()] if log.exists() else []
    return done.stdout.strip(), shown


@on_a_bus
def test_a_plain_service_shows_the_text_as_it_is(tmp_path):
    assert sent("plain", tmp_path) == (
        "delivered",
        [["Second coat", "6 < 7 & <b>safe</b> 18:30"]],
    )


@on_a_bus
def test_a_service_with_markup_gets_it_escaped(tmp_path):
    said, shown = sent("markup", tmp_path)
    assert said == "delivered"
    assert shown == [["Second coat", "6 &lt; 7 &amp; &lt;b&gt;safe&lt;/b&gt; 18:30"]]


@on_a_bus
def test_a_refusal_is_not_a_delivery(tmp_path):
    said, shown = sent("refuse", tmp_path)
    assert "took no notice (the notification service refused it)" in said
    assert shown == []


@on_a_bus
def test_a_bus_without_a_service_is_not_a_delivery(tmp_path):
    assert "no notification service answers" in sent("none", tmp_path)[0]


@pytest.mark.skipif(sys.platform != "linux", reason="the bus is looked for on Linux")
def test_no_bus_at_all_is_one_sentence(monkeypatch):
    monkeypatch.setenv("DBUS_SESSION_BUS_ADDRESS", "unix:path=/nowhere/at/all")
    with pytest.raises(NotDelivered, match="took no notice") as caught:
        send_notice(Notice("a", "b"))
    assert "\n" not in str(caught.value)
    monkeypatch.delenv("DBUS_SESSION_BUS_ADDRESS")
    with pytest.raises(NotDelivered, match="there is no session bus"):
        send_notice(Notice("a", "b"))


def test_another_systems_script_gets_the_words_as_arguments(monkeypatch, tmp_path):
    fake = tmp_path / "osascript"
    fake.write_text(f'#!/bin/sh\nprintf "%s\\n" "$@" >"{tmp_path}/args"\n')
    fake.chmod(0o755)
    monkeypatch.setenv("PATH", str(tmp_path), prepend=":")
    monkeypatch.setattr(sys, "platform", "darwin")
    send_notice(Notice('x" & do shell script "y', "body"))
    assert (tmp_path / "args").read_text().splitlines() == ["-", 'x" & do shell script "y', "body"]
    fake.write_text("#!/bin/sh\nexit 1\n")
    with pytest.raises(NotDelivered, match="refused"):
        send_notice(Notice("a", "b"))
    fake.write_text("#!/bin/sh\nexec sleep 60\n")
    monkeypatch.setattr(notice, "_TIMEOUT_S", 0.2)
    with pytest.raises(NotDelivered, match="TimeoutExpired"):
        send_notice(Notice("a", "b"))


def test_the_bell_rings_in_a_terminal_only():
    page = io.StringIO()
    assert not ring(page)
    assert page.getvalue() == ""
    page.isatty = lambda: True
    assert ring(page, 2)
    assert page.getvalue() == "\a\a"
