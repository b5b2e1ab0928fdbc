"""A stored project pushed from the command line to a real server, moved there, and asked about."""

import datetime as dt
from dataclasses import replace
from uuid import uuid5

import pytest

from finplan.calendars.account import Account
from finplan.calendars.server import CalendarServer, ServerFailed, calendars_of, connected
from finplan.services.caldav import PUSHED_TO, kept_place
from finplan.services.planned import planned
from finplan.services.pushing import push_calendar, take_up
from finplan.services.session import open_session
from finplan.tracking.surfaces import surfaces_of
from finplan.trade.steps import StepKind
from tests.calendars.radicale_server import PASSWORD, USER


def test_pushed_once_then_unchanged_and_a_move_is_offered_as_a_wish(finplan, radicale, tmp_path):
    where = ("--url", radicale.url, "--user", USER)
    with connected(Account(radicale.url, USER), PASSWORD) as client:
        client.get_principal().make_calendar("Finishing")
        client.get_principal().make_calendar("Private")
        urls = {one.name: one.url for one in calendars_of(client)}
        server = CalendarServer(client, urls["Finishing"])

        asked = finplan("calendar", "--push", *where)
        assert asked.status == 2
        assert "Finishing" in asked.err
        assert "Private" in asked.err

        tried = finplan("calendar", "--push", *where, "--into", "Finishing", "--dry-run")
        assert "would be created" in tried.out
        assert server.etags() == {}

        first = finplan("calendar", "--push", *where, "--into", "Finishing")
        assert first.status == 0, first.err
        assert first.out == tried.out.replace("would be ", "")
        assert server.etags()
        again = finplan("calendar", "--push")
        assert "0 created, 0 changed, 0 removed" in again.out

        name, held = min(
            (
                (name, found.data.decode())
                for name, found in server.get_many(list(server.etags())).items()
                if b"CATEGORIES:session" in found.data and b"T163000Z" in found.data
            ),
            key=lambda one: one[1].split("DTSTART:")[1],
        )
        moved = held.replace("T163000Z", "T170000Z")
        server.update(name, moved.encode(), server.etags()[name])
        told = " ".join(finplan("calendar", "--push").out.split())
        assert "moved in the calendar: move" in told, "however the lines are wrapped"
        assert "to Mon 5 Oct 2026 19:00? It can start then; nothing is ready later" in told
        assert "finplan record wish beech_worktop" in told
        assert b"T170000Z" in server.get(name).data

    stored = b"".join(file.read_bytes() for file in tmp_path.glob("shop.sqlite*"))
    assert PASSWORD.encode() not in stored


def test_a_wrong_password_and_a_missing_place_are_sentences(finplan, radicale):
    missing = finplan("calendar", "--push")
    assert missing.status == 2
    assert "--url" in missing.err
    wrong = finplan(
        "calendar", "--push", "--url", radicale.url, "--user", USER, "--password-command", "echo no"
    )
    assert wrong.status == 2
    assert "access was refused" in wrong.err
    assert "Traceback" not in wrong.err


class Lists:
    """The sample pushed to a calendar and a task list, and what a person does there."""

    def __init__(self, finplan, radicale, client):
        self.finplan = finplan
        for name in ("Finishing", "To do"):
            client.get_principal().make_calendar(name)
        self.urls = {one.name: one.url for one in calendars_of(client)}
        self.tasks, self.events = (
            CalendarServer(client, self.urls[name]) for name in ("To do", "Finishing")
        )
        where = ("--url", radicale.url, "--user", USER, "--into", "Finishing", "--tasks", "To do")
        first = self.push(*where)
        assert "0 as they were" in first

    def push(self, *words):
        done = self.finplan("calendar", "--push", *words)
        assert done.status == 0, done.err
        return " ".join(done.out.split())

    def held(self, server):
        return server.get_many(list(server.etags()))

    def change(self, server, name, old, new):
        data = server.get(name).data.decode()
        assert old in data
        server.update(name, data.replace(old, new).encode(), server.etags()[name])

    def tick(self, words, at):
        (name,) = [n for n, one in self.held(self.tasks).items() if words in one.data]
        done = f"STATUS:COMPLETED\r\nCOMPLETED:{at}"
        self.change(self.tasks, name, "STATUS:NEEDS-ACTION", done.replace("\r", ""))
        return name


@pytest.fixture
def lists(finplan, radicale):
    with connected(Account(radicale.url, USER), PASSWORD) as client:
        yield Lists(finplan, radicale, client)


def test_a_task_ticked_off_is_offered_and_recorded_only_when_asked(lists):
    assert lists.held(lists.tasks), "each hands-on step is a task"
    assert all(b"BEGIN:VTODO" in one.data for one in lists.held(lists.tasks).values())
    assert all(b"BEGIN:VEVENT" in one.data for one in lists.held(lists.events).values())
    assert "0 created, 0 changed, 0 removed" in lists.push()

    name = lists.tick(b"scrape glue", "20261005T144000Z")
    for _ in range(2):
        told = lists.push()
        assert "as done Mon 5 Oct 2026 16:40?" in told
        assert "finplan record step beech_worktop" in told
        assert "--at 2026-10-05T14:40:00Z" in told
        assert "Nothing is recorded" in lists.finplan("journal").out
        assert name in lists.tasks.etags()
    tried = lists.push("--dry-run")
    assert "as done Mon 5 Oct 2026 16:40?" in tried

    taken = lists.push("--take")
    assert "beech_worktop: done: Fill, scrape glue off" in taken
    journal = lists.finplan("journal").out
    assert journal.count("step done") == 1
    assert name not in lists.tasks.etags()
    assert "ticked off" not in lists.push("--take")
    assert lists.finplan("journal").out == journal


def test_the_command_told_records_what_was_ticked_off(lists):
    lists.tick(b"scrape glue", "20261005T144000Z")
    command = lists.push().split("finplan record ")[1].split()[:5]
    done = lists.finplan("record", *command)
    assert done.status == 0, done.err
    assert "16:40" in done.out
    assert "ticked off" not in lists.push()


def test_what_cannot_have_been_done_is_refused_with_its_reason(lists):
    name = lists.tick(b"Scuff before coat 2", "20261005T144000Z")
    told = lists.push("--take")
    assert "is not recorded:" in told
    assert "Nothing is recorded" in lists.finplan("journal").out
    assert b"COMPLETED:" in lists.tasks.get(name).data


def session_moved(lists, to):
    name, held = min(
        (one for one in lists.held(lists.events).items() if b"CATEGORIES:session" in one[1].data),
        key=lambda one: one[1].data.split(b"DTSTART:")[1][:16],
    )
    start = held.data.split(b"DTSTART:")[1][:16].decode()
    lists.change(lists.events, name, f"DTSTART:{start}", f"DTSTART:{to}")
    return name


def test_a_move_is_taken_as_a_wish_when_asked(lists):
    session_moved(lists, "20261005T170000Z")
    taken = lists.push("--take")
    assert "at Mon 5 Oct 2026 19:00" in taken
    assert lists.finplan("journal").out.count("wish") == 1
    assert "record wish" not in lists.push("--take"), "the plan follows"
    assert lists.finplan("journal").out.count("wish") == 1


def test_a_moved_session_whose_tasks_are_ticked_off_is_told_of_once(lists):
    name = session_moved(lists, "20261005T170000Z")
    lists.tick(b"scrape glue", "20261005T144000Z")
    lists.tick(b"Sand P80", "20261005T145000Z")
    taken = lists.push("--take")
    assert "moved in the calendar; left as it is there" in taken
    assert "is not recorded" not in taken
    journal = lists.finplan("journal").out
    assert (journal.count("step done"), journal.count("wish")) == (2, 0)
    assert "moved in the calendar" not in lists.push()
    assert name in lists.events.etags()


def test_a_move_the_plan_cannot_follow_is_refused_with_its_reason(lists):
    session_moved(lists, "20261005T020000Z")
    told = lists.push("--take")
    assert "cannot be moved to Mon 5 Oct 2026 04:00." in told
    assert "record wish" not in told
    assert "Nothing is recorded" in lists.finplan("journal").out


def test_tasks_wanted_no_more_are_taken_out(lists):
    lists.push("--tasks", "none")
    assert lists.tasks.etags() == {}
    assert lists.events.etags()
    assert "0 created, 0 changed, 0 removed" in lists.push()


def test_another_calendar_gets_everything_anew(lists, radicale):
    count = len(lists.events.etags())
    with connected(Account(radicale.url, USER), PASSWORD) as client:
        client.get_principal().make_calendar("Other")
        assert f"{count} created" in lists.push("--into", "Other")
    assert "0 created, 0 changed, 0 removed" in lists.push()


def test_a_change_of_calendar_for_one_project_goes_on_with_the_others(lists, radicale):
    assert lists.finplan("sample", "locust_bench").status == 0
    lists.push()
    count = len(lists.events.etags())
    with connected(Account(radicale.url, USER), PASSWORD) as client:
        client.get_principal().make_calendar("Other")
        lists.push("beech_worktop", "--into", "Other")
        told = lists.push()
        urls = {one.name: one.url for one in calendars_of(client)}
        assert "deleted" not in told
        assert len(CalendarServer(client, urls["Other"]).etags()) == count


def test_a_change_of_calendar_that_broke_off_goes_on_there(lists, radicale, monkeypatch, tmp_path):
    count = len(lists.events.etags())
    database = str(tmp_path / "shop.sqlite")
    with (
        connected(Account(radicale.url, USER), PASSWORD) as client,
        open_session(database, dt.datetime(2026, 10, 5, 15, tzinfo=dt.UTC)) as session,
    ):
        client.get_principal().make_calendar("Other")
        urls = {one.name: one.url for one in calendars_of(client)}
        other = CalendarServer(client, urls["Other"])
        create = CalendarServer.create

        def three_then_gone(server, name, data):
            if len(other.etags()) == 3:
                raise ServerFailed("the server can't be reached", urls["Other"])
            return create(server, name, data)

        place = kept_place(session, PUSHED_TO)
        with monkeypatch.context() as patched, pytest.raises(ServerFailed):
            patched.setattr(CalendarServer, "create", three_then_gone)
            push_calendar(session, (), replace(place, calendar=urls["Other"]), PASSWORD)
        told = lists.push()
        assert f"{count - 3} created" in told
        assert "deleted" not in told
        assert len(other.etags()) == count


def test_a_coat_moved_is_offered_with_what_its_recoat_window_says(lists, tmp_path):
    now = dt.datetime(2026, 10, 5, 15, tzinfo=dt.UTC)
    with open_session(str(tmp_path / "shop.sqlite"), now) as session:
        seen = planned(session)
        below, above = next(
            (below, above)
            for below, above in surfaces_of(seen.plan)
            if below.window_closes is not None and above.kind is StepKind.COAT
        )
        name = f"{uuid5(seen.projects[above.project].uid, f'task/worktop/1/{above.step}')}.ics"
        due = lists.tasks.get(name).data.split(b"DUE:")[1][:16].decode()
        later = above.end + dt.timedelta(days=1)
        assert later < below.window_closes
        lists.change(lists.tasks, name, f"DUE:{due}", f"DUE:{later:%Y%m%dT%H%M%SZ}")
        place = kept_place(session, PUSHED_TO)
        (offer,) = push_calendar(session, (), place, PASSWORD).offers
        assert (offer.step.id, offer.ticked, offer.possible) == (above.id, False, True)
        assert abs(offer.at - (above.start + dt.timedelta(days=1))) <= dt.timedelta(minutes=1)
        assert "The recoat window allows it: it closes" in offer.answer
        (taken,) = take_up(session, [offer])
        assert taken.recorded is not None
        moved = next(step for step in planned(session).plan.steps if step.id == above.id)
        assert abs(moved.start - offer.at) <= dt.timedelta(minutes=15)
