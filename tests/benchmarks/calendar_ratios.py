"""How fast calendars are exported, as ratios of processor time within one run.

Run by hand: ``python -m tests.benchmarks.calendar_ratios``. Ends with 1 where a goal is missed.
"""

import datetime as dt
import sys
import tempfile
import time
from pathlib import Path

import icalendar

from finplan.calendars.file import stands_in
from finplan.calendars.ics import Profile, calendar_bytes
from finplan.services.reading import write_whole
from tests.calendars.shop import HOUR, NOW, ledger_of, reminder

FIRST_TO_BARE = 2.5
UNCHANGED_TO_FIRST = 0.1
MANY_TO_FEW = 2.0
FEW, MANY = 1_000, 10_000


def reminders(count):
    return [reminder(f"session/slats/{n}/sand", start_h=24 + n / 4) for n in range(count)]


def bare_library(items):
    """Build the same events with nothing but the library."""
    calendar = icalendar.Calendar()
    calendar.add("prodid", "-//bare//EN")
    calendar.add("version", "2.0")
    for item in items:
        event = icalendar.Event()
        for name, value in (
            ("uid", str(item.uid)),
            ("dtstamp", NOW),
            ("created", NOW),
            ("last-modified", NOW),
            ("sequence", 0),
            ("dtstart", item.start),
            ("dtend", item.end),
            ("summary", item.title),
            ("description", item.text),
            ("status", "CONFIRMED"),
            ("transp", "OPAQUE"),
            ("categories", [item.role.value]),
        ):
            event.add(name, value)
        alarm = icalendar.Alarm()
        alarm.add("action", "DISPLAY")
        alarm.add("trigger", dt.timedelta(hours=-1))
        alarm.add("description", item.title)
        alarm.add("uid", str(item.alarm_uid))
        event.add_component(alarm)
        calendar.add_component(event)
    return calendar.to_ical()


def seconds(work):
    began = time.process_time()
    result = work()
    return time.process_time() - began, result


def measured(count, folder):
    """Return seconds of the bare library, of a first export, and of an unchanged one."""
    items, path = reminders(count), folder / f"{count}.ics"

    def export(rows, now):
        update = ledger_of(items, rows, now)
        told = (update.rows, "Finishing", Profile.FEED, now)
        if not stands_in(path, *told):
            write_whole(path, calendar_bytes(*told))
        return update.rows

    bare, _ = seconds(lambda: bare_library(items))
    first, rows = seconds(lambda: export((), NOW))
    again, _ = seconds(lambda: export(rows, NOW + HOUR))
    return bare, first, again


def main():
    with tempfile.TemporaryDirectory() as folder:
        few = measured(FEW, Path(folder))
        many = measured(MANY, Path(folder))
    found = (
        ("first export to bare library", many[1] / many[0], FIRST_TO_BARE),
        ("unchanged export to first", many[2] / many[1], UNCHANGED_TO_FIRST),
        (f"each of {MANY} to each of {FEW}", many[1] / few[1] * FEW / MANY, MANY_TO_FEW),
    )
    for name, ratio, goal in found:
        sys.stdout.write(f"{name:<32} {ratio:6.3f}   goal at most {goal:g}\n")
    return int(any(ratio > goal for _, ratio, goal in found))


if __name__ == "__main__":
    sys.exit(main())
