"""With --units imperial nothing that the samples print is in metric units."""

from __future__ import annotations

import re

import pytest

from finplan.cli.app import main
from tests.tools.imperial import LATER, NAMES, metric_lines, worked_samples

CALLS = (
    *(f"plan {name}" for name in NAMES),
    *(f"materials {name}" for name in NAMES),
    *(f"levers {name}" for name in NAMES),
    "why locust_bench slats coat 3",
    "why oak_door coat 2 first side",
    "now",
    "due --within 14d",
    "projects",
    "journal",
    "learned",
    "finishes",
    "finishes hardwax oil",
    "finishes waterborne polyurethane",
    "finishes mineral oil",
    "air --temp 50F --rh 95",
    "dry penetrating oil --temp 45F --rh 50",
    "dry waterborne polyurethane --temp 38F --rh 90 --heat-to 60F",
    "dry two-component polyurethane --temp 55F --rh 60 --dry-to 45",
    "dry spar varnish --temp 100F --rh 20",
    "dry spar varnish --space shed",
    "upkeep",
    "upkeep jetty_steps",
    "upkeep --years 3",
)
"""Verbs that print measures."""


@pytest.fixture(scope="module")
def data(tmp_path_factory):
    return worked_samples(tmp_path_factory.mktemp("imperial"))


def printed(data, capsys, *words):
    capsys.readouterr()
    status = main(["--data", data, "--now", LATER.isoformat(), "--units", "imperial", *words])
    told = capsys.readouterr()
    assert status == 0, told.err
    return told.out


@pytest.mark.parametrize("words", CALLS)
def test_no_metric_unit_is_left(data, words, capsys):
    told = printed(data, capsys, *words.split())
    assert len(told) > 20
    assert metric_lines(told.splitlines()) == []


def test_no_reminder_tells_a_metric_measure(data, capsys, tmp_path):
    file = tmp_path / "all.ics"
    printed(data, capsys, "calendar", "-o", str(file))
    text = re.sub(r"\r\n[ \t]", "", file.read_bytes().decode()).replace("\\n", "\n")
    assert "ft²" in text
    assert "fl oz" in text
    assert metric_lines(text.splitlines()) == []


def test_what_is_looked_for_is_there_in_metric(data, capsys):
    """The look itself sees metric measures where they are asked for."""
    for words in ("plan locust_bench", "now", "journal", "materials oak_door"):
        assert main(["--data", data, "--now", LATER.isoformat(), *words.split()]) == 0
        assert metric_lines(capsys.readouterr().out.splitlines()), words
