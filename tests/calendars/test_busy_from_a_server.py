"""Busy times from a real CalDAV server: only times, each source on its own, never our own items."""

import datetime as dt
import json

import pytest

from finplan.calendars.account import Account
from finplan.calendars.server import CalendarServer, calendars_of, connected
from finplan.services.busy import Whose, busy_of_file, forget_busy
from finplan.services.session import open_session
from tests.calendars.radicale_server import PASSWORD, USER
from tests.calendars.test_busy_stretches import ZONED

EVENING = "DTSTART:20261005T160000Z\nDTEND:20261005T210000Z\n"
"""The first evening of the sample, the whole of it."""


def item(uid, lines, head=""):
    text = (
        f"BEGIN:VCALENDAR\nVERSION:2.0\nPRODID:-//other//\n{head}BEGIN:VEVENT\nUID:{uid}\n"
        f"DTSTAMP:20260101T000000Z\nSUMMARY:choir practice\n{lines}END:VEVENT\nEND:VCALENDAR\n"
    )
    return text.replace("\n", "\r\n").encode()


class Private:
    """A person's own calendar, and what of it is taken."""

    def __init__(self, finplan, radicale, client, folder):
        self.finplan, self.folder = finplan, folder
        self.where = ("--url", radicale.url, "--user", USER)
        self.server = CalendarServer(
            client, next(one.url for one in calendars_of(client) if one.name == "Private")
        )

    def put(self, uid, lines, head=""):
        self.server.create(f"{uid}.ics", item(uid, lines, head))

    def remove(self, uid):
        self.server.delete(f"{uid}.ics", self.server.etags()[f"{uid}.ics"])

    def take(self, *words):
        return self.finplan("busy", *self.where, "--from", "Private", *words)

    def first_start(self):
        told = self.finplan("plan", "beech_worktop", "--json")
        return min(step["start"] for step in json.loads(told.out)["steps"])

    def busy(self):
        opened = open_session(str(self.folder / "shop.sqlite"))
        with opened as session, session.store.unit(writes=False) as unit:
            (shop,) = unit.workshops.list()
        (person,) = shop.people
        return [(f"{one.start:%d %H:%M}", f"{one.end:%d %H:%M}") for one in person.busy]


@pytest.fixture
def private(finplan, radicale, tmp_path):
    with connected(Account(radicale.url, USER), PASSWORD) as client:
        for name in ("Finishing", "Private"):
            client.get_principal().make_calendar(name)
        yield Private(finplan, radicale, client, tmp_path)


def test_plans_keep_clear_of_a_calendar_on_a_server_and_follow_it_when_read_again(private):
    before = private.first_start()
    private.put("choir", EVENING)
    taken = private.take()
    assert "1 busy stretch taken" in taken.out, taken.err
    assert private.first_start() > before
    private.remove("choir")
    again = private.finplan("busy")
    assert "0 busy stretches taken" in again.out, again.err
    assert private.first_start() == before


def test_series_are_expanded_and_free_and_cancelled_time_is_left_out(private):
    series = (
        "DTSTART;TZID=Europe/Oslo:20261008T190000\nDTEND;TZID=Europe/Oslo:20261008T210000\n"
        "RRULE:FREQ=WEEKLY;COUNT=4\nEXDATE;TZID=Europe/Oslo:20261015T190000\n"
    )
    private.put("series", series, ZONED)
    private.put("free", EVENING + "TRANSP:TRANSPARENT\n")
    private.put("off", EVENING + "STATUS:CANCELLED\n")
    private.put("past", "DTSTART:20260901T160000Z\nDTEND:20260901T170000Z\n")
    assert "3 busy stretches" in private.take().out
    assert private.busy() == [
        ("08 17:00", "08 19:00"),
        ("22 17:00", "22 19:00"),
        ("29 18:00", "29 20:00"),
    ]


def test_one_meeting_of_a_series_that_was_moved_blocks_its_new_hours(private):
    master = "DTSTART:20261006T160000Z\nDTEND:20261006T170000Z\nRRULE:FREQ=DAILY;COUNT=2\n"
    moved = (
        "END:VEVENT\nBEGIN:VEVENT\nUID:daily\nDTSTAMP:20260101T000000Z\n"
        "RECURRENCE-ID:20261007T160000Z\nDTSTART:20261007T190000Z\nDTEND:20261007T200000Z\n"
    )
    private.put("daily", master + moved)
    private.take()
    assert private.busy() == [("06 16:00", "06 17:00"), ("07 19:00", "07 20:00")]


def test_only_times_are_kept_and_never_the_password(private):
    private.put("choir", EVENING)
    private.take()
    stored = b"".join(file.read_bytes() for file in private.folder.glob("shop.sqlite*"))
    assert b"choir" not in stored
    assert PASSWORD.encode() not in stored
    saved = private.finplan("save", "beech_worktop", "-o", "passed_on.toml")
    assert saved.status == 0, saved.err
    passed_on = (private.folder / "passed_on.toml").read_text()
    assert "2026-10-05T16:00:00" in passed_on
    assert not {"choir", "Private", USER, "http:"} & set(passed_on.split('"'))


def test_each_source_replaces_its_own_and_leaves_the_others(private):
    private.put("choir", EVENING)
    private.take()
    with open_session(str(private.folder / "shop.sqlite"), "2026-10-05T15:00:00Z") as session:
        work, other = private.folder / "work.ics", private.folder / "other.ics"
        work.write_bytes(item("w", "DTSTART:20261006T160000Z\nDTEND:20261006T170000Z\n"))
        other.write_bytes(item("o", "DTSTART:20261007T160000Z\nDTEND:20261007T170000Z\n"))
        for file in (work, other, work):
            assert busy_of_file(session, file, Whose()).stretches == 1
    assert [start for start, _ in private.busy()] == ["05 16:00", "06 16:00", "07 16:00"]
    private.remove("choir")
    private.take()
    assert [start for start, _ in private.busy()] == ["06 16:00", "07 16:00"]
    with open_session(str(private.folder / "shop.sqlite")) as session:
        assert forget_busy(session, Whose()).stretches == 2
    assert private.busy() == []


def test_a_plan_does_not_keep_clear_of_its_own_sessions(private):
    before = private.first_start()
    pushed = private.finplan("calendar", "--push", *private.where, "--into", "Private")
    assert pushed.status == 0, pushed.err
    assert private.server.events_between(
        dt.datetime(2026, 10, 5, tzinfo=dt.UTC), dt.datetime(2026, 11, 5, tzinfo=dt.UTC)
    )
    assert "0 busy stretches taken" in private.take().out
    assert private.first_start() == before


def test_an_item_that_cannot_be_read_is_counted_and_hides_no_other(private):
    private.put("choir", EVENING)
    every_minute = "RRULE:FREQ=MINUTELY;COUNT=2\n"
    private.put("bad", "DTSTART:20261006T160000Z\nDTEND:20261006T160030Z\n" + every_minute)
    told = private.take().out
    assert "1 busy stretch taken" in told
    assert "1 item of the calendar can't be read" in told


def test_the_account_is_remembered_and_every_mistake_is_a_sentence(private):
    nothing = private.finplan("busy")
    assert (nothing.status, nothing.out) == (2, "")
    several = private.finplan("busy", *private.where)
    assert several.status == 2
    assert "Finishing" in several.err
    assert "Private" in several.err
    for words in (("--from", "none"), ("--password-command", "echo no"), ("--person", "nobody")):
        wrong = private.finplan("busy", *private.where, *words)
        assert (wrong.status, wrong.out) == (2, "")
        assert "Traceback" not in wrong.err
    assert private.busy() == []
    pushed = private.finplan("calendar", "--push", *private.where, "--into", "Finishing")
    assert pushed.status == 0, pushed.err
    account_of_the_push = private.finplan("busy", "--from", "Private")
    assert account_of_the_push.status == 0, account_of_the_push.err
