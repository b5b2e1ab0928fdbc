"""Every finplan command in README and DEVELOPERS exists and runs; every file they name is there."""

from __future__ import annotations

import re
import shlex
import shutil
from pathlib import Path

import pytest

from finplan.cli.app import VERBS, main

ROOT = Path(__file__).parents[2]
PAGES = {name: (ROOT / name).read_text(encoding="utf-8") for name in ("README.md", "DEVELOPERS.md")}
FENCED = re.compile(r"^```sh\n(.*?)^```", re.MULTILINE | re.DOTALL)
ANY_FENCE = re.compile(r"^```.*?^```", re.MULTILINE | re.DOTALL)
INLINE = re.compile(r"`([^`]+)`")
TOP = ("finplan", "migrations", "tests", "sample_projects", ".ci")


def blocks(page):
    return [match[1] for match in FENCED.finditer(PAGES[page])]


def prose(page):
    return re.sub(r"\n\s*", " ", ANY_FENCE.sub("", PAGES[page]))


def commands(page):
    """The finplan commands of a page's blocks, as words, in order."""
    found = []
    for block in blocks(page):
        for line in block.splitlines():
            for part in line.split(" && "):
                words = shlex.split(part, comments=True)
                if words and words[0].rpartition("/")[2] == "finplan":
                    found.append(words[1:])
    return found


def settings(page):
    """What the page exports: the variables of its tour."""
    pairs = {}
    for block in blocks(page):
        for line in block.splitlines():
            if line.startswith("export "):
                pairs |= dict(word.split("=", 1) for word in shlex.split(line)[1:])
    return pairs


def test_the_commands_are_found():
    tour = commands("README.md")
    assert len(tour) > 15
    assert [] in tour  # finplan alone: the terminal interface
    assert {words[0] for words in tour if words} >= {"plan", "record", "calendar", "sample"}


@pytest.mark.parametrize("page", PAGES)
def test_every_verb_named_exists(page, capsys):
    named = {
        found[1]
        for text in INLINE.findall(prose(page))
        if (found := re.match(r"finplan ([a-z]+)\b", text))
    }
    assert named
    for verb in named:
        assert verb in VERBS, f"{page} names finplan {verb}"
        assert main([verb, "--help"]) == 0
        assert capsys.readouterr().out.startswith("Usage: finplan")


def test_the_readme_s_commands_run_in_order(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    shutil.copytree(ROOT / "sample_projects", tmp_path / "sample_projects")
    told = settings("README.md")
    assert set(told) == {"FINPLAN_DATA", "FINPLAN_NOW"}
    for words in commands("README.md"):
        if not words:
            continue  # the terminal interface has tests of its own
        if "--data" not in words:
            for name, value in told.items():
                monkeypatch.setenv(name, value)
        status = main(words)
        said = capsys.readouterr()
        assert status == 0, f"finplan {shlex.join(words)}: {said.err}"
        assert said.out.strip(), f"finplan {shlex.join(words)} prints nothing"
    written = {file.name for file in tmp_path.iterdir()}
    assert {"locust_bench.ics", "plan.svg", "drying.png", "boathouse.ics", "bench.toml"} <= written


def test_the_two_commands_are_single_lines_made_to_be_pasted():
    first, second = (block.splitlines() for block in blocks("README.md")[:2])
    assert len(first) == len(second) == 1
    for line in (*first, *second):
        assert line.startswith("python3 -m venv .venv && .venv/bin/python -m pip install ")
    assert "sample locust_bench" in first[0] and first[0].endswith("-o locust_bench.ics")
    assert "'.[test]'" in second[0] and "pytest" in second[0]


@pytest.mark.parametrize("page", PAGES)
def test_every_file_linked_is_there(page):
    linked = re.findall(r"\]\(([^)#]+)\)", PAGES[page])
    assert linked
    for target in linked:
        assert "://" in target or (ROOT / target).exists(), f"{page} links to {target}"


@pytest.mark.parametrize("page", PAGES)
def test_every_path_named_is_there(page):
    for text in INLINE.findall(prose(page)):
        path = text.split()[0].rstrip("/:,")
        room = path.split("/")[0]
        if "/" not in path or re.search(r"[<*N]", path):
            continue
        if room in TOP:
            assert (ROOT / path).exists(), f"{page} names {path}"
        elif (ROOT / "finplan" / room).is_dir():
            assert (ROOT / "finplan" / path).exists(), f"{page} names {path}"
