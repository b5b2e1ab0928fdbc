"""Pushing to a real CalDAV server: create, move, delete, and what a person did is kept."""

import dataclasses
import datetime as dt

import pytest

from finplan.calendars.account import PASSWORD_VARIABLE, Account, password_of
from finplan.calendars.ics import resource_bytes
from finplan.calendars.push import LET_GO, Change, push
from finplan.calendars.server import CalendarServer, ServerFailed, calendars_of, connected
from finplan.trade.errors import BadInput
from tests.calendars.lint import faults
from tests.calendars.pushed_shop import shop_on
from tests.calendars.radicale_server import USER
from tests.calendars.shop import HOUR, NOW, all_day, reminder, some_reminders, task


@pytest.fixture
def shop(radicale):
    with shop_on(radicale) as shop:
        yield shop


def test_items_are_created_each_under_its_own_name_and_clean(shop):
    shop.plan(some_reminders())
    assert len(shop.push().created) == 3
    assert set(shop.server.etags()) == {f"{item.uid}.ics" for item in some_reminders()}
    for item in some_reminders():
        stored = shop.server.get(f"{item.uid}.ics").data
        assert faults(stored.replace(b"\r\n", b"\n").replace(b"\n", b"\r\n")) == []
    assert all(row.etag and row.sent == row.content for row in shop.rows.values())


def test_an_unchanged_plan_sends_nothing(shop):
    shop.plan(some_reminders())
    shop.push()
    before = shop.server.etags()
    shop.plan(some_reminders())
    again = shop.push()
    assert again.unchanged == 3
    assert (again.created, again.updated, again.deleted, again.conflicts) == ([], [], [], [])
    assert shop.server.etags() == before


def test_a_move_arrives_with_a_higher_sequence_and_a_removal_removes(shop):
    shop.plan([reminder(), all_day()])
    shop.push()
    shop.plan([reminder(start_h=60)])
    report = shop.push()
    assert (len(report.updated), len(report.deleted)) == (1, 1)
    assert "SEQUENCE:1" in shop.held(reminder())
    assert f"DTSTART:{NOW + 60 * HOUR:%Y%m%dT%H%M%SZ}" in shop.held(reminder())
    assert shop.held(all_day()) is None
    shop.plan([reminder(start_h=60), all_day()])
    assert len(shop.push().created) == 1, "what returns is put back"
    assert "SEQUENCE:2" in shop.held(all_day())


def test_an_item_a_person_moved_is_told_of_and_stays_where_it_is(shop):
    shop.plan([reminder()])
    shop.push()
    at = NOW + 43 * HOUR
    theirs = shop.by_person(reminder(), (f"{at:%Y%m%dT%H%M%SZ}", f"{at - 3 * HOUR:%Y%m%dT%H%M%SZ}"))
    shop.plan([reminder(title="other words")])
    for _ in range(2):
        (conflict,) = shop.push().conflicts
        assert (conflict.change, conflict.start) == (Change.MOVED, at - 3 * HOUR)
        assert shop.held(reminder()) == theirs.replace("\r\n ", "")
    shop.plan([reminder(start_h=40, hours=5)])
    assert shop.push().conflicts == [], "the plan follows the wish: both agree"


def test_a_moved_item_that_leaves_the_plan_is_told_of_once_and_stays(shop):
    shop.plan([reminder()])
    shop.push()
    at = NOW + 43 * HOUR
    to = f"{at - 3 * HOUR:%Y%m%dT%H%M%SZ}"
    theirs = shop.by_person(reminder(), (f"{at:%Y%m%dT%H%M%SZ}", to))
    shop.plan([])
    assert [one.change for one in shop.push(dry_run=True).conflicts] == [Change.MOVED]
    (conflict,) = shop.push().conflicts
    assert (conflict.change, conflict.row.cancelled_at) == (Change.MOVED, shop.now)
    again = shop.push()
    assert (again.conflicts, again.unchanged, again.deleted) == ([], 1, [])
    assert shop.held(reminder()) == theirs.replace("\r\n ", "")
    shop.by_person(reminder(), ("SUMMARY:Bench", "SUMMARY:My bench"))
    assert len(shop.push().conflicts) == 1, "they changed it again"
    shop.plan([reminder()])
    for _ in range(2):
        assert len(shop.push().conflicts) == 1, "it is in the plan again, elsewhere"


def test_words_a_person_changed_are_kept(shop):
    shop.plan([reminder()])
    shop.push()
    shop.by_person(reminder(), ("SUMMARY:Bench", "SUMMARY:My bench"))
    shop.plan([reminder(start_h=50)])
    assert [c.change for c in shop.push().conflicts] == [Change.EDITED]
    assert "SUMMARY:My bench" in shop.held(reminder())


def test_a_dismissed_alarm_and_private_marks_are_carried_over(shop):
    shop.plan([reminder()])
    shop.push()
    shop.by_person(
        reminder(),
        ("END:VALARM", "ACKNOWLEDGED:20261003T060000Z\r\nEND:VALARM"),
        ("BEGIN:VALARM", "X-MY-MARK:7\r\nBEGIN:VALARM"),
        ("SEQUENCE:0", "SEQUENCE:5"),
    )
    shop.plan([reminder(start_h=50)])
    report = shop.push()
    assert (len(report.updated), report.conflicts) == (1, [])
    held = shop.held(reminder())
    assert "ACKNOWLEDGED:20261003T060000Z" in held
    assert "X-MY-MARK:7" in held
    assert "SEQUENCE:6" in held, "never below what the server has seen"
    assert f"DTSTART:{NOW + 50 * HOUR:%Y%m%dT%H%M%SZ}" in held
    assert shop.rows[reminder().uid].sequence == 6


def test_an_item_made_to_repeat_stays_as_it_is(shop):
    shop.plan([reminder()])
    shop.push()
    shop.by_person(reminder(), ("STATUS:CONFIRMED", "STATUS:CONFIRMED\r\nRRULE:FREQ=DAILY;COUNT=3"))
    shop.plan([reminder(start_h=50)])
    assert [c.change for c in shop.push().conflicts] == [Change.EDITED]
    assert "RRULE:FREQ=DAILY;COUNT=3" in shop.held(reminder())


def test_an_item_a_person_deleted_is_not_put_back(shop):
    shop.plan([reminder(), all_day()])
    shop.push()
    row = shop.rows[reminder().uid]
    shop.server.delete(f"{row.uid}.ics", row.etag)
    assert [c.change for c in shop.push().conflicts] == [Change.DELETED]
    shop.plan([reminder(start_h=50), all_day()])
    report = shop.push()
    assert (report.created, report.conflicts) == ([], [])
    assert shop.rows[row.uid].etag == LET_GO
    assert shop.held(reminder()) is None


TICKED = {
    "all three": "STATUS:COMPLETED\r\nCOMPLETED:20261003T164000Z\r\nPERCENT-COMPLETE:100",
    "the hour alone": "STATUS:NEEDS-ACTION\r\nCOMPLETED:20261003T164000Z",
    "status alone": "STATUS:COMPLETED",
    "share alone": "STATUS:NEEDS-ACTION\r\nPERCENT-COMPLETE:100",
}


@pytest.mark.parametrize("way", TICKED)
def test_a_task_ticked_off_is_told_of_until_it_is_recorded(shop, way):
    shop.plan([task()])
    shop.push()
    assert faults(resource_bytes(shop.rows[task().uid])) == []
    shop.by_person(
        task(),
        ("STATUS:NEEDS-ACTION", TICKED[way]),
        ("LAST-MODIFIED:20261001T130000Z", "LAST-MODIFIED:20261003T164000Z"),
    )
    theirs = shop.held(task())
    shop.plan([task(start_h=70)])
    for _ in range(2):
        (conflict,) = shop.push().conflicts
        assert conflict.change is Change.TICKED
        assert conflict.ticked_at == dt.datetime(2026, 10, 3, 16, 40, tzinfo=dt.UTC)
        assert shop.held(task()) == theirs
    shop.plan([])
    report = shop.push()
    assert (len(report.deleted), report.conflicts) == (1, [])
    assert shop.held(task()) is None
    shop.plan([task()])
    assert len(shop.push().created) == 1, "the record was undone: it is to do again"


def test_a_task_ticked_off_by_mistake_and_put_back_is_as_it_was(shop):
    shop.plan([task()])
    shop.push()
    shop.by_person(task(), ("STATUS:NEEDS-ACTION", "STATUS:COMPLETED"))
    shop.by_person(task(), ("STATUS:COMPLETED", "STATUS:NEEDS-ACTION\r\nPERCENT-COMPLETE:0"))
    report = shop.push()
    assert (report.conflicts, report.unchanged) == ([], 1)
    shop.plan([task(start_h=60)])
    assert len(shop.push().updated) == 1


def test_a_task_put_to_another_hour_is_moved_and_one_called_off_stays(shop):
    shop.plan([task(), task("task/slats/2/coat-2")])
    shop.push()
    due = NOW + 45 * HOUR
    shop.by_person(task(), (f"DUE:{due:%Y%m%dT%H%M%SZ}", f"DUE:{due + HOUR:%Y%m%dT%H%M%SZ}"))
    shop.by_person(task("task/slats/2/coat-2"), ("STATUS:NEEDS-ACTION", "STATUS:CANCELLED"))
    changes = {c.change: c for c in shop.push().conflicts}
    assert set(changes) == {Change.MOVED, Change.EDITED}
    assert changes[Change.MOVED].end == due + HOUR


def test_what_is_not_ours_is_never_touched(shop):
    shop.server.create("dentist.ics", shop_event("dentist"))
    shop.plan([reminder()])
    shop.push()
    shop.plan([])
    shop.push()
    assert set(shop.server.etags()) == {"dentist.ics"}


def shop_event(uid):
    lines = (
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//other//",
        "BEGIN:VEVENT",
        f"UID:{uid}",
        "DTSTAMP:20260101T000000Z",
        "DTSTART:20261003T070000Z",
        "DTEND:20261003T080000Z",
        "SUMMARY:private",
        "END:VEVENT",
        "END:VCALENDAR",
        "",
    )
    return "\r\n".join(lines).encode()


def test_a_dry_run_says_it_all_and_does_nothing(shop):
    shop.plan([reminder()])
    shop.push()
    shop.plan([reminder(start_h=50), all_day()])
    before, rows = shop.server.etags(), dict(shop.rows)
    report = shop.push(dry_run=True)
    assert (len(report.created), len(report.updated)) == (1, 1)
    assert shop.server.etags() == before
    assert shop.rows == rows


def test_a_server_gone_half_way_loses_nothing_and_the_next_push_goes_on(shop, radicale):
    shop.plan([reminder(f"session/slats/{n}/sand") for n in range(6)])
    sent = []

    def keep_three(row):
        if len(sent) == 3:
            radicale.stop()
            return  # this one reached the server, its ETag did not reach us
        sent.append(row)
        shop.keep(row)

    with pytest.raises(ServerFailed, match="can't be reached"):
        shop.push(keep=keep_three)
    radicale.start()
    shop.plan([reminder(f"session/slats/{n}/sand", start_h=50) for n in range(6)])
    report = shop.push()
    assert report.conflicts == []
    assert (len(report.created), len(report.updated)) == (2, 4)
    assert len(shop.server.etags()) == 6
    assert shop.push().unchanged == 6


def test_a_change_between_look_and_write_overrides_nothing(shop):
    shop.plan([reminder()])
    shop.push()
    shop.plan([reminder(start_h=50)])
    read, theirs = shop.server.get_many, []

    def changed_after_the_look(names):
        found = read(names)
        theirs.append(shop.by_person(reminder(), ("SUMMARY:Bench", "SUMMARY:My bench")))
        return found

    shop.server.get_many = changed_after_the_look
    assert [c.change for c in shop.push().conflicts] == [Change.EDITED]
    assert shop.held(reminder()) == theirs[0].replace("\r\n ", "")


def test_a_wrong_password_is_one_sentence_without_it(radicale):
    with (
        connected(Account(radicale.url, USER), "wrong-word") as client,
        pytest.raises(ServerFailed, match="access was refused") as caught,
    ):
        calendars_of(client)
    assert "wrong-word" not in str(caught.value)


def test_the_calendars_are_listed_by_name(shop):
    assert (shop.url, "Finishing") in [(c.url, c.name) for c in calendars_of(shop.client)]


def test_a_calendar_that_is_not_there_is_one_sentence(shop):
    with pytest.raises(ServerFailed, match=r"access was refused|no calendar"):
        push(CalendarServer(shop.client, f"{shop.url}nothing/here/"), [], shop.keep, NOW)


def test_a_thousand_items_of_a_push_that_broke_off_are_known_again(shop, radicale):
    shop.plan([reminder(f"session/slats/{n}/sand", start_h=24 + n) for n in range(1000)])
    sent = {f"{row.uid}.ics": resource_bytes(row) for row in shop.rows.values()}
    radicale.lay_in(shop.url, sent)
    assert shop.push().unchanged == 1000
    assert all(row.etag and row.sent for row in shop.rows.values())
    assert shop.push().unchanged == 1000


@pytest.mark.parametrize(
    ("url", "words"),
    [
        ("http://cal.example.org/", "use https"),
        ("https://me:pw@cal.example.org/", "out of the address"),
        ("cal.example.org", "begins with https"),
        ("ftp://cal.example.org", "begins with https"),
    ],
)
def test_addresses_that_give_the_password_away_are_refused(url, words):
    with pytest.raises(BadInput, match=words) as caught:
        Account(url, USER)
    assert "pw" not in str(caught.value)


def test_the_password_comes_by_command_environment_or_keyring(monkeypatch):
    account = Account("https://cal.example.org/", USER)
    monkeypatch.setenv(PASSWORD_VARIABLE, "from-environment")
    assert password_of(account, "printf 'from command\\nmore'") == "from command"
    assert password_of(account) == "from-environment"
    monkeypatch.delenv(PASSWORD_VARIABLE)
    monkeypatch.setattr("keyring.get_password", lambda service, user: f"{service}: {user}")
    assert password_of(account) == "finplan caldav: shop"
    monkeypatch.setattr("keyring.get_password", lambda service, user: None)
    with pytest.raises(BadInput, match=r"no password for shop at cal\.example\.org"):
        password_of(account)
    with pytest.raises(BadInput, match="gave no password"):
        password_of(account, "false")
    with pytest.raises(BadInput, match="can't be run"):
        password_of(account, "finplan-no-such-program")


def test_the_all_day_item_compares_as_unchanged(shop):
    shop.plan([all_day()])
    shop.push()
    (row,) = shop.rows.values()
    shop.rows[row.uid] = dataclasses.replace(row, etag='"older"')
    assert shop.push().unchanged == 1
