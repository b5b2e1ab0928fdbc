"""The years of upkeep and litres as pictures at the command line."""

from __future__ import annotations

from pathlib import Path

import pytest

NOW = "2026-11-25T12:00:00Z"
STEPS = (
    "install", "steps", "--finish", "penetrating oil", "--area", "2.4 m2", "--place", "boathouse",
    "--installed", "2026-04-01", "--exposed", "flat", "--zone", "Europe/Oslo",
)  # fmt: skip


@pytest.fixture
def installed(empty):
    empty.now = NOW
    empty.right(*STEPS)
    empty.right(
        "record", "service", "steps", "--done", "renewed", "--used", "0.4 l", "--at", "2026-10-10"
    )
    return empty


def test_the_years_and_their_litres_are_drawn_once(installed):
    for what in ("--upkeep", "--litres"):
        file = installed.file(f"{what[2:]}.svg", "")
        assert ": written" in installed.right("chart", what, "-o", file).out
        assert ": unchanged" in installed.right("chart", what, "-o", file).out


def test_a_project_s_litres_coat_by_coat(shell):
    file = shell.file("litres.svg", "")
    shell.right("chart", "bench", "--litres", "-o", file)
    svg = Path(file).read_text(encoding="utf-8")
    assert "coat 1" in svg and "Penetrating oil" in svg


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--upkeep", "--litres"), "give one of"),
        (("bench", "--upkeep"), "leave PROJECT out"),
        (("--upkeep", "--years", "0"), "1 to 20"),
        (("--litres", "--years", "30"), "1 to 20"),
    ],
)
def test_what_cannot_be_drawn_is_refused(installed, words, told):
    answer = installed("chart", *words, "-o", installed.file("no.svg", ""))
    assert answer.status == 2 and told in answer.err


def test_without_a_piece_there_is_nothing_to_draw(empty):
    answer = empty("chart", "--upkeep", "-o", empty.file("no.svg", ""))
    assert answer.status == 2 and "nothing is installed" in answer.err
