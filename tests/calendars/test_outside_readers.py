"""Programs that read calendars, as people run them: import and list, and a faithful subscriber."""

import os
import subprocess
import sys
import threading
from pathlib import Path

import pytest
import vobject

from finplan.calendars.feed import FeedContent, Served, feed_server
from finplan.calendars.ics import Profile, calendar_bytes, calendar_state, resource_bytes
from tests.calendars.lint import faults
from tests.calendars.shop import (
    HOUR,
    NOW,
    all_day,
    exported,
    ledger_of,
    reminder,
    some_reminders,
    task,
)

PROGRAMS = Path(sys.executable).parent
TOKEN = "reader-" * 5

LISTER = """[calendars]
[[finishing]]
path = {folder}/finishing
type = calendar
[locale]
timeformat = %H:%M
dateformat = %Y-%m-%d
longdateformat = %Y-%m-%d
datetimeformat = %Y-%m-%d %H:%M
longdatetimeformat = %Y-%m-%d %H:%M
local_timezone = {zone}
default_timezone = {zone}
[sqlite]
path = {folder}/lister.db
"""

SUBSCRIBER = """[general]
status_path = "{folder}/status/"
[pair feed]
a = "ours"
b = "theirs"
collections = null
conflict_resolution = "a wins"
[storage ours]
type = "http"
url = "{url}"
[storage theirs]
type = "filesystem"
path = "{folder}/items/"
fileext = ".ics"
"""


def run(name, *words, cwd, stdin=""):
    done = subprocess.run(
        [str(PROGRAMS / name), *words],
        cwd=cwd,
        input=stdin,
        capture_output=True,
        text=True,
        timeout=120,
        env=os.environ | {"HOME": str(cwd)},
        check=False,
    )
    assert done.returncode == 0, done.stderr + done.stdout
    return done.stdout + done.stderr


@pytest.mark.parametrize(
    ("zone", "hours"),
    [("Europe/Oslo", "09:00-11:00"), ("America/St_Johns", "04:30-06:30")],
)
def test_an_importer_lists_every_item_at_its_local_hour(tmp_path, zone, hours):
    (tmp_path / "finishing").mkdir()
    config = tmp_path / "config"
    config.write_text(LISTER.format(folder=tmp_path, zone=zone))
    (tmp_path / "ours.ics").write_bytes(exported(profile=Profile.IMPORT))
    for _ in range(2):  # a second import makes nothing double
        run("khal", "-c", str(config), "import", "--batch", "ours.ics", cwd=tmp_path)
    listed = run(
        "khal", "-c", str(config), "list", "--format", "{start-end-time-style} {title}",
        "2026-10-01", "14d", cwd=tmp_path,
    )  # fmt: skip
    assert f"{hours} Bench: Sand, First coat (2 h)" in listed
    for item in some_reminders():
        assert listed.count(item.title) == 1
    day = listed.index("2026-10-04")
    assert listed.index("buy penetrating oil") > day


class Feed:
    """A feed that follows a ledger."""

    def __init__(self):
        self.rows, self.now = (), NOW
        content = FeedContent(self.calendar, self.calendar)
        self.server = feed_server(content, TOKEN)
        self.thread = threading.Thread(target=self.server.serve_forever, args=(0.01,))
        self.thread.start()

    def plan(self, reminders):
        self.now += HOUR
        self.rows = ledger_of(reminders, self.rows, self.now).rows

    def calendar(self):
        state = calendar_state(self.rows, "Finishing", Profile.FEED, self.now)
        return Served(
            calendar_bytes(self.rows, "Finishing", Profile.FEED, self.now), self.now, state
        )

    def close(self):
        self.server.shutdown()
        self.thread.join()
        self.server.server_close()


def test_a_subscriber_gets_moves_and_removals_and_nothing_else(tmp_path):
    feed = Feed()
    try:
        items = tmp_path / "items"
        items.mkdir()
        config = tmp_path / "config"
        url = f"{feed.server.address}{TOKEN}/finplan.ics"
        config.write_text(SUBSCRIBER.format(folder=tmp_path, url=url))

        def sync():
            run("vdirsyncer", "-c", str(config), "sync", cwd=tmp_path)
            return {file.name: file.read_text() for file in items.iterdir()}

        feed.plan(some_reminders())
        run("vdirsyncer", "-c", str(config), "discover", cwd=tmp_path, stdin="y\n")
        first = sync()
        assert len(first) == 3
        for file in items.iterdir():
            os.utime(file, (1, 1))
        feed.plan(some_reminders())
        assert sync() == first
        assert all(file.stat().st_mtime == 1 for file in items.iterdir()), "nothing was churned"

        feed.plan([reminder(start_h=60), all_day()])
        moved = sync()
        assert len(moved) == 2
        text = "".join(moved.values())
        assert f"DTSTART:{NOW + 60 * HOUR:%Y%m%dT%H%M%SZ}" in text
        assert "SEQUENCE:1" in text
        assert "last call" not in text
    finally:
        feed.close()


def test_a_task_is_read_as_due_and_open_by_vobject():
    (row,) = ledger_of([task()]).rows
    data = resource_bytes(row)
    assert faults(data) == []
    read = vobject.readOne(data.decode()).vtodo
    assert read.due.value == NOW + 45 * HOUR
    assert read.status.value == "NEEDS-ACTION"
    assert read.summary.value == task().title
    assert read.description.value == task().text
    assert not hasattr(read, "valarm")
