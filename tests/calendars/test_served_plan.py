"""A stored project to the feed, the page and the desktop, and what recording changes."""

import datetime as dt
import functools
import http.client
import threading

import pytest
import vobject

from finplan.alerts.notice import NotDelivered
from finplan.calendars.feed import feed_server
from finplan.cli.app import main
from finplan.services.due import upkeep_things
from finplan.services.notify import ring_due
from finplan.services.planned import planned
from finplan.services.record import StepRef, record_step
from finplan.services.samples import load_sample
from finplan.services.serving import feed_content
from finplan.services.session import open_session
from tests.calendars.lint import faults

BEGIN = dt.datetime(2026, 10, 5, 15, 0, tzinfo=dt.UTC)
TOKEN = "served-" * 5


@pytest.fixture
def at(tmp_path):
    """Opens the store of a sample project at an hour."""
    opened = functools.partial(open_session, str(tmp_path / "shop.sqlite"))
    with opened(BEGIN) as session:
        load_sample(session, "beech_worktop")
    return opened


def get(server, path, etag=""):
    connection = http.client.HTTPConnection(*server.server_address[:2], timeout=30)
    connection.request("GET", f"/{TOKEN}/{path}", headers={"If-None-Match": etag})
    response = connection.getresponse()
    body = response.read()
    connection.close()
    return response.status, response.headers["ETag"], body


def first_session(body):
    events = vobject.readOne(body.decode()).vevent_list
    sessions = [event for event in events if event.categories.value == ["session"]]
    return min(sessions, key=lambda event: event.dtstart.value)


def test_the_feed_follows_the_journal_and_is_not_sent_twice(at):
    hour = [BEGIN]
    server = feed_server(feed_content(lambda: at(hour[0]), ()), TOKEN)
    thread = threading.Thread(target=server.serve_forever, args=(0.01,))
    thread.start()
    try:
        status, etag, body = get(server, "finplan.ics")
        assert (status, faults(body)) == (200, [])
        hour[0] = BEGIN + dt.timedelta(minutes=20)
        assert get(server, "finplan.ics", etag)[0] == 304
        assert b"What now" in get(server, "now")[2]
        with at(BEGIN) as session:
            step = planned(session).plan.steps[0]
        with at(step.end) as session:
            record_step(session, StepRef.of(step))
        hour[0] = step.end
        status, _, later = get(server, "finplan.ics", etag)
        assert (status, faults(later)) == (200, [])
        before, after = first_session(body), first_session(later)
        assert after.uid.value == before.uid.value
        assert int(after.sequence.value) == int(before.sequence.value) + 1
    finally:
        server.shutdown()
        thread.join()
        server.server_close()


def test_an_alarm_rings_once_on_this_machine_and_only_when_delivered(at, tmp_path):
    with at(BEGIN) as session:
        first = planned(session).plan.steps[0]
    shown = []

    def nobody_there(title, text):
        raise NotDelivered("no desktop")

    with at(first.start - dt.timedelta(minutes=61)) as session:
        early = ring_due(session, tmp_path / "rung.json", lambda *words: None)
        assert all("buy" in title for title in early.titles), "the first use is near"
        again = ring_due(session, tmp_path / "rung.json", nobody_there)
        assert (again.titles, again.failures) == ((), ())
    with at(first.start - dt.timedelta(minutes=60)) as session:
        failed = ring_due(session, tmp_path / "rung.json", nobody_there)
        assert (failed.titles, failed.failures) == ((), ("no desktop",))
        rang = ring_due(session, tmp_path / "rung.json", lambda *words: shown.append(words))
    assert len(rang.titles) == len(shown) == 1
    assert first.title in shown[0][0]
    with at(first.start + dt.timedelta(minutes=30)) as session:
        assert ring_due(session, tmp_path / "rung.json", nobody_there).failures == ()


def test_the_page_served_tells_of_upkeep_that_is_due(at, tmp_path):
    data = str(tmp_path / "shop.sqlite")
    spring = dt.datetime(2027, 4, 5, 12, tzinfo=dt.UTC)
    steps = ("--finish", "penetrating oil", "--area", "2.4 m2", "--place", "<b>boathouse</b>")
    when = ("--installed", "2026-04-01", "--exposed", "flat", "--zone", "Europe/Oslo")
    assert (
        main(["--data", data, "--now", spring.isoformat(), "install", "jetty", *steps, *when]) == 0
    )
    content = feed_content(lambda: at(spring), ())
    page = content.page().body.decode()
    assert "<h2>Upkeep</h2>" in page
    assert "renewal: jetty" in page
    assert "<b>" not in page
    with at(dt.datetime(2026, 4, 10, tzinfo=dt.UTC)) as session:
        assert upkeep_things(session) == (), "fresh: nothing is due in two weeks"
