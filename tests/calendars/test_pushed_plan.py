"""A stored project pushed from the command line to a real server, moved there, and asked about."""

from pathlib import Path

from finplan.calendars.account import Account
from finplan.calendars.server import CalendarServer, calendars_of, connected
from tests.calendars.radicale_server import PASSWORD, USER


def test_pushed_once_then_unchanged_and_a_move_is_offered_as_a_wish(finplan, radicale):
    where = ("--url", radicale.url, "--user", USER)
    with connected(Account(radicale.url, USER), PASSWORD) as client:
        client.get_principal().make_calendar("Finishing")
        client.get_principal().make_calendar("Private")
        urls = {one.name: one.url for one in calendars_of(client)}
        server = CalendarServer(client, urls["Finishing"])

        asked = finplan("calendar", "--push", *where)
        assert asked.returncode == 2
        assert "Finishing" in asked.stderr
        assert "Private" in asked.stderr

        tried = finplan("calendar", "--push", *where, "--into", "Finishing", "--dry-run")
        assert "would be created" in tried.stdout
        assert server.etags() == {}

        first = finplan("calendar", "--push", *where, "--into", "Finishing")
        assert first.returncode == 0, first.stderr
        assert first.stdout == tried.stdout.replace("would be ", "")
        assert server.etags()
        again = finplan("calendar", "--push")
        assert "0 created, 0 changed, 0 removed" in again.stdout

        name, held = next(
            (name, found.data.decode())
            for name, found in server.get_many(list(server.etags())).items()
            if b"CATEGORIES:session" in found.data and b"T163000Z" in found.data
        )
        moved = held.replace("T163000Z", "T170000Z")
        server.update(name, moved.encode(), server.etags()[name])
        told = finplan("calendar", "--push")
        assert "moved to" in " ".join(told.stdout.split()), "however the lines are wrapped"
        assert "finplan record wish beech_worktop" in " ".join(told.stdout.split())
        assert b"T170000Z" in server.get(name).data

    stored = b"".join(file.read_bytes() for file in Path(radicale.folder).glob("shop.sqlite*"))
    assert PASSWORD.encode() not in stored


def test_a_wrong_password_and_a_missing_place_are_sentences(finplan, radicale):
    missing = finplan("calendar", "--push")
    assert missing.returncode == 2
    assert "--url" in missing.stderr
    wrong = finplan(
        "calendar", "--push", "--url", radicale.url, "--user", USER, "--password-command", "echo no"
    )
    assert wrong.returncode == 2
    assert "access was refused" in wrong.stderr
    assert "Traceback" not in wrong.stderr
