"""The exported bytes: clean, the same anywhere, and read alike by independent readers."""

import datetime as dt
import os
import subprocess
import sys
from pathlib import Path

import pytest
import recurring_ical_events
import vobject
from icalendar import Calendar

from finplan.calendars.file import stands_in
from finplan.calendars.ics import Profile, calendar_bytes, resource_bytes
from tests.calendars.lint import faults
from tests.calendars.shop import (
    HOUR,
    NOW,
    all_day,
    exported,
    ledger_of,
    reminder,
    some_reminders,
)

GOLDEN = Path(__file__).parent / "golden"
ROOT = Path(__file__).parents[2]


def cancelled_rows():
    first = ledger_of(some_reminders())
    return ledger_of(some_reminders()[1:], first.rows, NOW + HOUR).rows


@pytest.mark.parametrize("profile", Profile)
def test_golden_files(profile):
    data = calendar_bytes(cancelled_rows(), "Finishing", profile, NOW + HOUR)
    assert data == (GOLDEN / f"{profile}.ics").read_bytes()
    assert faults(data) == []


def test_a_feed_leaves_out_what_is_gone_and_an_import_file_cancels_it_for_sixty_days():
    rows = cancelled_rows()
    feed = calendar_bytes(rows, "Finishing", Profile.FEED, NOW + HOUR)
    assert feed.count(b"BEGIN:VEVENT") == 2
    lately = calendar_bytes(rows, "Finishing", Profile.IMPORT, NOW + HOUR)
    assert lately.count(b"BEGIN:VEVENT") == 3
    assert lately.count(b"STATUS:CANCELLED") == 1
    later = calendar_bytes(rows, "Finishing", Profile.IMPORT, NOW + dt.timedelta(days=61))
    assert b"CANCELLED" not in later


def test_one_item_for_a_server_is_clean():
    for row in cancelled_rows():
        assert faults(resource_bytes(row)) == []


def test_no_alarm_for_what_was_past_when_it_was_sent():
    data = exported([reminder(start_h=0.5, lead_h=1)])
    assert b"VALARM" not in data


def test_an_alarm_that_passes_later_changes_no_byte():
    rows = ledger_of([reminder()]).rows
    before = calendar_bytes(rows, "Finishing", Profile.FEED, NOW)
    rows = ledger_of([reminder()], rows, NOW + 42.5 * HOUR).rows
    assert calendar_bytes(rows, "Finishing", Profile.FEED, NOW + 42.5 * HOUR) == before
    assert b"TRIGGER:-PT1H" in before


def test_independent_readers_see_the_same_hours_and_words():
    data = exported()
    ours = {item.title: (item.start, item.end) for item in some_reminders() if not item.all_day}
    read = vobject.readOne(data.decode())
    seen = {
        event.summary.value: (event.dtstart.value, event.dtend.value)
        for event in read.vevent_list
        if isinstance(event.dtstart.value, dt.datetime)
    }
    assert seen == ours
    day = next(event for event in read.vevent_list if type(event.dtstart.value) is dt.date)
    assert (day.dtstart.value, day.dtend.value) == (dt.date(2026, 10, 4), dt.date(2026, 10, 5))
    texts = {event.description.value for event in read.vevent_list}
    assert texts == {item.text for item in some_reminders()}


def test_expansion_finds_each_item_once_on_its_day():
    calendar = Calendar.from_ical(exported(some_reminders()[:2]))
    between = recurring_ical_events.of(calendar).between
    found = between((2026, 10, 1), (2026, 11, 1))
    assert sorted(str(event["UID"]) for event in found) == sorted(
        str(item.uid) for item in some_reminders()[:2]
    )
    assert len(between((2026, 10, 3), (2026, 10, 4))) == 1


HOSTILE = {
    "nul and escape": "a\x00b\x1b[31mc",
    "injection": "x\r\nATTACH:http://example.org\r\nX:y",
    "separators": "a\x85b\u2028c\u2029d",
    "surrogate": "a\ud800b",
    "punctuation": 'a;b,c\\d"e:f\\n',
    "right to left": "\u202egnp.exe",
    "no character": "a\ufffeb",
    "markup": "<b>[bold]x[/bold]</b>",
    "emoji": "👩‍🔧 seals ends 🪵",
    "very long": "né" * 5000,
    "white space": "  \t \n ",
    "ends in backslash": "end\\",
}


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_come_out_clean(name):
    item = reminder(title=HOSTILE[name], text=HOSTILE[name], lead_h=1)
    data = exported([item], name=HOSTILE[name])
    assert faults(data) == []
    event = vobject.readOne(data.decode()).vevent
    assert "\n" not in event.summary.value
    assert b"\r\nATTACH" not in data


def test_the_bytes_do_not_depend_on_zone_locale_hash_seed_or_optimising():
    script = (
        "import sys, hashlib; from tests.calendars.shop import exported;"
        "sys.stdout.write(hashlib.sha256(exported()).hexdigest())"
    )
    seen = set()
    for zone, seed, flags in (
        ("UTC", "0", []),
        ("Pacific/Chatham", "1", ["-O"]),
        ("America/St_Johns", "77", ["-OO"]),
    ):
        environment = os.environ | {
            "TZ": zone,
            "PYTHONHASHSEED": seed,
            "LC_ALL": "C",
            "PYTHONPATH": str(ROOT),
        }
        done = subprocess.run(
            [sys.executable, *flags, "-c", script],
            env=environment,
            cwd=ROOT,
            capture_output=True,
            text=True,
            check=True,
        )
        seen.add(done.stdout)
    assert len(seen) == 1


def test_hostile_text_injects_nothing_without_assertions():
    script = (
        "import sys; from tests.calendars.shop import exported, reminder;"
        "sys.stdout.buffer.write(exported([reminder(title='x\\r\\nATTACH:y', text='a\\rX-B:c')],"
        "name='n\\r\\nMETHOD:PUBLISH'))"
    )
    done = subprocess.run(
        [sys.executable, "-O", "-c", script],
        env=os.environ | {"PYTHONPATH": str(ROOT)},
        cwd=ROOT,
        capture_output=True,
        check=True,
    )
    assert faults(done.stdout) == []


def test_the_order_of_reminders_changes_no_byte():
    assert exported(some_reminders()[::-1]) == exported()


def test_the_file_is_not_touched_when_nothing_changed(tmp_path):
    path = tmp_path / "finishing.ics"
    rows = ledger_of(some_reminders()).rows
    assert not stands_in(path, rows, "Finishing", Profile.FEED, NOW)
    path.write_bytes(calendar_bytes(rows, "Finishing", Profile.FEED, NOW))
    again = ledger_of(some_reminders(), rows, NOW + HOUR).rows
    assert stands_in(path, again, "Finishing", Profile.FEED, NOW + HOUR)
    assert not stands_in(path, again, "Finishing", Profile.IMPORT, NOW + HOUR)
    assert not stands_in(path, again, "Another name", Profile.FEED, NOW + HOUR)
    moved = ledger_of([all_day(days=4)], again, NOW + HOUR).rows
    assert not stands_in(path, moved, "Finishing", Profile.FEED, NOW + HOUR)
