"""What people get wrong: one sentence on stderr, status 2, and nothing written."""

from __future__ import annotations

import hashlib
import sqlite3

import pytest

from tests.cli.conftest import BENCH, CUT_LIST

LOG = "time,temperature (°C),humidity (%)\n"


def refused(shell, *words, now=None):
    """Run what must be refused and return its one sentence."""
    before = written(shell)
    answer = shell(*words, now=now)
    assert answer.status == 2, answer
    assert answer.out == ""
    assert answer.err.startswith("finplan: ") and answer.err.endswith("\n")
    assert answer.err.count("\n") == 1, answer.err
    assert len(answer.err) < 500
    assert "Traceback" not in answer.err
    assert answer.err.isprintable() or answer.err[:-1].isprintable()
    assert written(shell) == before
    return answer.err


def written(shell):
    """Everything in the database, so that a half-written change shows."""
    if not shell.data.is_file():
        return ""
    with sqlite3.connect(shell.data) as connection:
        return hashlib.sha256("\n".join(connection.iterdump()).encode()).hexdigest()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["plan", "nothing"], "nothing"),
        (["plan", "benhc"], "bench"),
        (["plan", "bench", "--ready-by", "2026-02-30"], "30"),
        (["plan", "bench", "--seconds", "-1"], "--seconds"),
        (["plan", "bench", "--seconds", "nan"], "--seconds"),
        (["plan", "bench", "--seconds", "soon"], "seconds"),
        (["why", "bench", "coat 7"], "coat 7"),
        (["why", "bench", "pieces"], "pieces/1"),
        (["record", "coat", "bench", "coat 1", "--at", "2026-02-30 18:00"], "30"),
        (["record", "coat", "bench", "coat 1", "--at", "4/5"], "--at"),
        (["record", "coat", "bench", "coat 1", "--at", "yesterweek"], "--at"),
        (["record", "step", "bench", "prepare", "--at", "+2h"], "future"),
        (["record", "coat", "bench", "coat 1"], "seal"),
        (["record", "coat", "bench", "coat 1", "--amount", "0.4 furlongs"], "--amount"),
        (["record", "coat", "bench", "coat 1", "--amount", "-1 l"], "--amount"),
        (["record", "coat", "bench", "coat 1", "--temp", "18"], "seal"),
        (["record", "coat", "bench", "coat 1", "--temp", "300 C"], "--temp"),
        (["record", "coat", "bench", "coat 1", "--rh", "140"], "--rh"),
        (["record", "seal", "bench"], "seal"),
        (["record", "step", "bench", "prepare", "--by", "a\x1b[31mb"], "control"),
        (["record", "step", "bench", "prepare", "--note", "x" * 10_000], "letters"),
        (["record", "check", "bench"], "no coat"),
        (["record", "check", "bench", "--stage", "soaked"], "soaked"),
        (["record", "spoiled", "bench", "slat", "0"], "0"),
        (["record", "spoiled", "bench", "slat", "99"], "8"),
        (["record", "spoiled", "bench", "slats", "1"], "slat"),
        (["record", "spoiled", "bench", "slat", "one"], "one"),
        (["record", "wish", "bench", "coat 1"], "--withdraw"),
        (["record", "wish", "bench", "coat 1", "--at", "2026-10-05 03:00"], "that is past"),
        (["record", "wish", "bench", "coat 1", "--at", "2026-10-06 03:00"], "03:00"),
        (["record", "repeat", "bench", "coat 1"], "not done"),
        (["correct", "bench", "last", "--note", "x"], "last"),
        (["correct", "bench", "zz", "--note", "x"], "zz"),
        (["undo"], "nothing to undo"),
        (["redo"], "nothing to redo"),
        (["undo", "x" * 10_000], "no project"),
        (["journal", "bench", "--json", "--csv"], "--json or --csv"),
        (["due", "--within", "soon"], "--within"),
        (["due", "--within", "-3h"], "--within"),
        (["dry", "window glass"], "window glass"),
        (["dry", "penetrating oil", "--temp", "18 C"], "--rh"),
        (["dry", "penetrating oil", "--temp", "300 C", "--rh", "50"], "300"),
        (["dry", "penetrating oil", "--temp", "18 X", "--rh", "50"], "18 X"),
        (["dry", "penetrating oil", "--start", "31 Sep 2026"], "--start"),
        (["dry", "penetrating oil", "--space", "cellar"], "cellar"),
        (["dry", "penetrating oil", "--space", "shed", "--temp", "9 C", "--rh", "5"], "one of"),
        (["dry", "penetrating oil", "--air", "/nowhere/log.csv"], "no such file"),
        (["dry", "penetrating oil", "--heat-to", "60 C"], "heating to 60 °C"),
        (["dry", "penetrating oil", "--heat-to", "warm"], "--heat-to"),
        (["dry", "penetrating oil", "--dry-to", "140"], "--dry-to"),
        (["dry", "penetrating oil", "--film", "0"], "above zero"),
        (["learned", "forget", "window glass"], "window glass"),
        (["air"], "--temp"),
        (["air", "--temp", "20 C", "--rh", "140"], "140"),
        (["air", "--temp", "20", "--rh", "five"], "five"),
        (["air", "add", "--temp", "20 C", "--rh", "50", "--at", "+1h"], "to come"),
        (["air", "add", "--temp", "20 C", "--rh", "50", "--space", "loft"], "shed"),
        (["materials", "bank"], "bench"),
        (["finishes", "penetrating oyl"], "penetrating oil"),
        (["sample", "teak"], "locust_bench"),
        (["load", "/nowhere/bench.toml"], "no such file"),
        (["load", "/"], "folder"),
        (["save", "bench", "-o", "/nowhere/at/all.toml"], "/nowhere/at/all.toml"),
        (["save", "bench"], "-o"),
        (["calendar", "bench", "-o", "/nowhere/at/all.ics"], "/nowhere/at/all.ics"),
        (["calendar", "bench", "-o", "/"], "/"),
        (["backup", "/nowhere/at/all.db"], "/nowhere/at/all.db"),
        (["restore", "/nowhere/at/all.db"], "/nowhere/at/all.db"),
        (["plan", "--units", "cubits"], "cubits"),
        (["plan", "--zone", "Mars/Base"], "Mars/Base"),
        (["plan", "--zone", "\x00"], "NUL"),
        (["finishes", "\udcff", "--remove"], "no text"),
        (["plan", "--data", "mysql://host/db"], "mysql"),
        (["plan", "--data", "/"], "folder"),
        (["planne"], "planne"),
        (["--everything"], "--everything"),
    ],
    ids=lambda value: " ".join(value)[:50] if isinstance(value, list) else "",
)
def test_one_sentence(shell, words, said):
    assert said in refused(shell, *words)


@pytest.mark.parametrize(
    "moment",
    ["2026-10-05T18:00", "2026-02-30T18:00Z", "today", "", "0001-01-01T00:00+14:00", "9" * 400],
)
def test_the_present_moment_needs_a_date_and_an_offset(shell, moment):
    answer = shell("plan", "bench", "--now", moment)
    assert (answer.status, answer.out) == (2, "")
    assert answer.err.startswith("finplan: --now: ") and answer.err.count("\n") == 1


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("slat,0,600,51,22,oak", "row 2"),
        ("slat,8,-3,51,22,oak", "row 2"),
        ("slat,8,600 furlong,51,22,oak", "row 2"),
        ("slat,eight,600,51,22,oak", "row 2"),
        ("slat,8,600,51,,oak", "row 2"),
        ("slat,8,nan,51,22,oak", "row 2"),
        (f"{'s' * 10_000},8,600,51,22,oak", "row 2"),
        ("sl\x07at,8,600,51,22,oak", "row 2"),
    ],
)
def test_a_cut_list_is_taken_whole_or_not_at_all(shell, row, said):
    header = "name,quantity,length (mm),width (mm),thickness (mm),wood\n"
    good = "rail,2,500,50,20,oak\n"
    list_file = shell.file("parts.csv", f"{header}{row}\n{good}")
    assert said in refused(shell, "parts", "bench", "--from", list_file)


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"\xff\xfe\x00",
        b"\x00" * 100,
        b"a;b;c\n1;2;3\n",
        b'"' + b"x" * 10_000,
        "naïve".encode("cp1252"),
    ],
)
def test_a_file_that_is_no_cut_list(shell, content):
    refused(shell, "parts", "bench", "--from", shell.file("parts.csv", content))


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('cut_list = "cut_list.csv"', 'cut_list = "none.csv"', "none.csv"),
        ('zone = "Europe/Vienna"', 'zone = "Europe/Wien"', "zone"),
        ("FREQ=WEEKLY;BYDAY=SA", "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30", "never opens"),
        ("FREQ=WEEKLY;BYDAY=SA", "every saturday", "people"),
        ("2026-12-20", '"the 30th of February"', "in_service_by"),
        ("rack_area_m2 = 3.0", "rack_area_m2 = 0.01", "rack"),
        ("rack_area_m2 = 3.0", "rack_area_m2 = -3.0", "rack_area_m2"),
        ("coats = 2", "coats = 0", "coats"),
        ("coats = 2", 'finish = "chocolate"', "chocolate"),
        ("coats = 2", "layers = 2", "layers"),
        ('"oiled outdoor bench"', '"oiled indoor bench"', "oiled"),
        ("mean_rh_percent = [55", "mean_rh_percent = [155", "155"),
        ("mean_c = [18", "mean_c = [300", "300"),
        ('name = "bench"', 'name = "a bench"', "bench"),
        ('name = "bench"', 'name = "[red]bench[/]"', "bench"),
        ('name = "bench"', f'name = "{"b" * 10_000}"', "64"),
        ('title = "Small bench"', f'title = "{"b" * 10_000}"', "letters"),
        ('title = "Small bench"', 'title = "Sm\\u001ball"', "U+001B"),
        ('space = "shed"', 'space = "barn"', "barn"),
        ('parts = ["slat", "leg"]', 'parts = ["slat", "arm"]', "arm"),
        ("[project]", "[projet]", "projet"),
        ("[project]", "[project", "TOML"),
    ],
)
def test_a_project_file_with_a_slip(empty, old, new, said):
    assert old in BENCH
    empty.right("projects")
    file = empty.file("bench.toml", BENCH.replace(old, new, 1))
    assert said in refused(empty, "load", file)
    assert empty.right("projects", "--json").json == {"projects": []}


@pytest.mark.parametrize(
    ("windows", "said"),
    [
        (
            '{ rule = "FREQ=WEEKLY;BYDAY=SA", start = 08:00:00, minutes = 20 }',
            "no work window of Maker",
        ),
        ('{ rule = "FREQ=YEARLY;UNTIL=20250101T000000Z", start = 08:00:00, minutes = 90 }', ""),
    ],
    ids=["a step longer than every window", "a window that never opens again"],
)
def test_no_plan_is_possible(empty, windows, said):
    start, _, rest = BENCH.partition("windows = [")
    _, _, end = rest.partition("]\n")
    text = f"{start}windows = [{windows}]\n{end}"
    loaded = empty("load", empty.file("bench.toml", text))
    answer = loaded if loaded.status else empty("plan", "bench")
    assert answer.status == 2
    assert answer.out == "" or answer.out.startswith("No plan is possible")
    assert answer.err.count("\n") == 1
    assert said in answer.err


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ("2026-10-05T08:00Z,300,50\n", "300"),
        ("2026-10-05T08:00Z,18,140\n", "140"),
        ("2026-10-05T08:00Z,55,18\n2026-10-05T09:00Z,56,18\n", "swapped"),
        ("2026-10-05T08:00Z,warm,50\n", "warm"),
        ("2026-02-30T08:00Z,18,50\n", "line 2"),
        ("2026-10-06T08:00Z,18,50\n", "future"),
        ("2026-10-05T08:00Z,18\n", "line 2"),
        ("", "no readings"),
    ],
)
def test_an_air_log_with_nonsense(shell, rows, said):
    assert said in refused(shell, "air", "import", shell.file("log.csv", LOG + rows))


def test_gaps_in_an_air_log_are_told_of(shell):
    rows = "".join(f"2026-10-0{day}T{hour:02}:00Z,18,50\n" for day in (1, 4) for hour in range(5))
    answer = shell.right("air", "import", shell.file("log.csv", LOG + rows))
    assert "10 readings" in answer.out
    assert "no readings for 68.0 h" in answer.out


def test_a_coat_before_the_one_below_it(shell):
    shell.right("record", "step", "bench", "seal", "--at", "today 10:00")
    shell.right("record", "coat", "bench", "coat 1", "--at", "today 12:00")
    said = refused(shell, "record", "coat", "bench", "coat 2", "--at", "today 11:00")
    assert "before" in said
    said = refused(shell, "correct", "bench", "last", "--at", "today 09:00")
    assert "before" in said


def test_a_damaged_database(shell):
    content = bytearray(shell.data.read_bytes())
    for companion in shell.folder.glob("data.db-*"):
        companion.unlink()
    content[200:8000] = b"\xa5" * 7800
    shell.data.write_bytes(content)
    answer = shell("plan", "bench")
    assert (answer.status, answer.out) == (2, "")
    assert answer.err.count("\n") == 1
    assert "restore" in answer.err


def test_a_database_that_is_something_else(empty):
    empty.data.write_text("Dear diary")
    answer = empty("plan")
    assert answer.status == 2
    assert "not a database" in answer.err
    assert empty.data.read_text() == "Dear diary"


def test_a_folder_that_may_only_be_read(shell, monkeypatch):
    import os

    real = os.access
    monkeypatch.setattr(os, "access", lambda path, mode: mode != os.W_OK and real(path, mode))
    said = refused(shell, "record", "note", "bench", "hello")
    assert "may only be read" in said
    assert shell("plan", "bench").status == 0


def test_names_with_markup_stay_plain_text(shell):
    shell.right("record", "note", "bench", "[bold]loud[/bold] {x} %s \\n")
    assert "[bold]loud[/bold] {x} %s \\n" in shell.right("journal").out


def test_cut_list_is_what_the_bench_is_made_from(shell):
    assert CUT_LIST.count("\n") - 1 == shell.right("parts", "bench").out.count("\n") - 1
