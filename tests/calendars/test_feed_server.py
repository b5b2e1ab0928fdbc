"""The feed server, asked by a real client on a real socket."""

import contextlib
import http.client
import socket
import threading

import pytest

from finplan.calendars.feed import FeedContent, RateLimit, Served, feed_server, lan_warning
from finplan.calendars.tokens import kept_token, new_token, rotate_token
from finplan.trade.errors import BadInput
from tests.calendars.shop import NOW, exported

TOKEN = "t0ken-" * 6


@contextlib.contextmanager
def running(calendar=None, limit=None):
    content = FeedContent(
        calendar=calendar or (lambda: Served(exported(), NOW, "state-1")),
        page=lambda: Served(b"<!doctype html><title>What now</title>", NOW),
    )
    server = feed_server(content, TOKEN, limit=limit)
    thread = threading.Thread(target=server.serve_forever, args=(0.01,))
    thread.start()
    try:
        yield server
    finally:
        server.shutdown()
        thread.join()
        server.server_close()


def ask(server, path, method="GET", **headers):
    connection = http.client.HTTPConnection(*server.server_address[:2], timeout=5)
    connection.request(method, path, headers={k.replace("_", "-"): v for k, v in headers.items()})
    response = connection.getresponse()
    body = response.read()
    connection.close()
    return response.status, dict(response.getheaders()), body


def test_the_feed_is_served_whole_and_then_not_again_while_unchanged():
    with running() as server:
        status, headers, body = ask(server, f"/{TOKEN}/finplan.ics")
        assert (status, body) == (200, exported())
        assert headers["Content-Type"] == "text/calendar; charset=utf-8"
        assert headers["Last-Modified"] == "Thu, 01 Oct 2026 12:00:00 GMT"
        again, later, nothing = ask(
            server, f"/{TOKEN}/finplan.ics", If_None_Match=f'"old", W/{headers["ETag"]}'
        )
        assert (again, nothing, later["ETag"]) == (304, b"", headers["ETag"])


def test_a_changed_feed_is_sent_to_who_knows_the_old_one():
    states = iter(("one", "two"))
    with running(lambda: Served(exported(), NOW, next(states))) as server:
        _, headers, _ = ask(server, f"/{TOKEN}/finplan.ics")
        status, _, body = ask(server, f"/{TOKEN}/finplan.ics", If_None_Match=headers["ETag"])
        assert (status, body) == (200, exported())


def test_where_there_is_no_plan_who_subscribes_is_told_to_come_again():
    def no_plan():
        raise BadInput("there is no project yet")

    with running(no_plan) as server:
        status, headers, body = ask(server, f"/{TOKEN}/finplan.ics")
        assert (status, headers["Retry-After"], body) == (503, "600", b"")
        assert ask(server, f"/{TOKEN}/now")[0] == 200


@pytest.mark.parametrize(
    "path",
    [
        "/",
        "/finplan.ics",
        "/now",
        "/wrong/finplan.ics",
        f"/{TOKEN}",
        f"/{TOKEN}/",
        f"/{TOKEN}/other",
        f"/{TOKEN}/../now",
        f"/{TOKEN[:-1]}/now",
        "/%F0%9F%AA%B5/now",
    ],
)
def test_nothing_else_is_there(path):
    with running() as server:
        status, _, body = ask(server, path)
        assert (status, body) == (404, b"")


def test_the_page_comes_with_rules_that_let_it_load_nothing():
    with running() as server:
        status, headers, body = ask(server, f"/{TOKEN}/now")
        assert status == 200
        assert b"What now" in body
        assert headers["Content-Security-Policy"].startswith("default-src 'none'")
        assert headers["Referrer-Policy"] == "no-referrer"
        assert "ETag" in headers


def test_only_reading_is_possible():
    with running() as server:
        for method in ("POST", "PUT", "DELETE", "PROPFIND"):
            assert ask(server, f"/{TOKEN}/finplan.ics", method)[0] == 501
        status, headers, body = ask(server, f"/{TOKEN}/finplan.ics", "HEAD")
        assert (status, body) == (200, b"")
        assert int(headers["Content-Length"]) == len(exported())


def test_too_many_requests_have_to_wait_and_are_let_in_again():
    now = [0.0]
    with running(limit=RateLimit(3, lambda: now[0])) as server:
        asked = [ask(server, f"/{TOKEN}/now")[0] for _ in range(4)]
        assert asked == [200, 200, 200, 429]
        assert ask(server, "/guess/now")[1]["Retry-After"] == "21"
        now[0] = 21.0
        assert ask(server, f"/{TOKEN}/now")[0] == 200


def test_the_token_is_never_written_anywhere(capfd):
    with running() as server:
        ask(server, f"/{TOKEN}/finplan.ics")
        ask(server, f"/{TOKEN}/none")
        with socket.create_connection(server.server_address[:2]) as rude:
            rude.sendall(f"GET /{TOKEN}/finplan.ics HTTP/1.1\r\n".encode())
        assert TOKEN not in server.address
    seen = capfd.readouterr()
    assert TOKEN not in seen.out + seen.err


def test_a_taken_port_is_one_sentence():
    with running() as server, pytest.raises(BadInput, match="can't be used"):
        feed_server(server.content, TOKEN, port=server.server_address[1], host="127.0.0.1")
    with pytest.raises(BadInput, match="0 to 65535"):
        feed_server(server.content, TOKEN, port=70_000)


def test_loopback_needs_no_warning_and_the_lan_does():
    assert lan_warning("127.0.0.1") is None
    assert lan_warning("::1") is None
    assert lan_warning("localhost") is None
    assert "unencrypted" in lan_warning("192.168.1.20")
    assert "unencrypted" in lan_warning("0.0.0.0")


def test_the_token_is_kept_for_its_owner_alone_and_can_be_changed(tmp_path):
    path = tmp_path / "private" / "token"
    token = kept_token(path)
    assert kept_token(path) == token
    assert path.stat().st_mode & 0o777 == 0o600
    assert rotate_token(path) != token
    assert kept_token(path) != token
    assert len({new_token() for _ in range(50)}) == 50


def test_a_file_that_holds_no_token_is_refused(tmp_path):
    path = tmp_path / "token"
    for content in (b"", b"short", b"../../" * 9, "ä".encode() * 40):
        path.write_bytes(content)
        with pytest.raises(BadInput, match="remove it"):
            kept_token(path)
    assert [file.name for file in tmp_path.iterdir()] == ["token"]
