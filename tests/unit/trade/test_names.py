"""Texts that people type."""

import pytest

from finplan.trade.errors import BadInput
from finplan.trade.names import (
    clean_note,
    clean_text,
    counted,
    did_you_mean,
    legal_project_name,
    nearest,
    shown,
)


def test_white_space_and_accents_become_one_form():
    assert clean_text("  Bootshaus-Tu\u0308r \t links ", "name") == "Bootshaus-T\u00fcr links"


def test_a_number_has_its_noun():
    assert [counted(n, "piece") for n in (0, 1, 2)] == ["0 pieces", "1 piece", "2 pieces"]
    assert [counted(n, "entry", "entries") for n in (1, 3)] == ["1 entry", "3 entries"]


def test_markup_stays_as_it_is():
    assert clean_text("[bold]slat[/] <b> & `x`", "name") == "[bold]slat[/] <b> & `x`"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("\x1b[31mred", r"letter 1 is the invisible character U\+001B"),
        ("a\x00b", r"U\+0000"),
        ("a\u202eb", r"U\+202E"),
        ("a\ud800b", r"U\+D800"),
        ("a\u200bb", r"U\+200B"),
        ("x" * 121, "121 letters are too many"),
        ("   ", "is empty"),
    ],
)
def test_refused(text, said):
    with pytest.raises(BadInput, match=said) as caught:
        clean_text(text, "part name")
    assert str(caught.value).startswith("part name: ")
    assert str(caught.value).isprintable()


def test_ten_thousand_letters():
    with pytest.raises(BadInput, match="10000 letters are too many: use 120 at most"):
        clean_text("x" * 10_000, "part name")


def test_notes_keep_their_lines():
    assert clean_note(" one \r\n  two  words\n", "note") == "one\ntwo words"
    assert clean_note("", "note") == ""
    with pytest.raises(BadInput, match="invisible"):
        clean_note("one\n\x07", "note")


@pytest.mark.parametrize("name", ["bench", "boat-house_2", "B", "9lives"])
def test_legal_project_names(name):
    assert legal_project_name(name) == name


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("Boat house", "e.g. boat-house"),
        ("Tür", "e.g. tur"),
        ("../etc", "e.g. etc"),
        ("-x", "e.g. x"),
        ("", "can't be used"),
        ("x" * 65, "e.g. " + "x" * 64),
        ("bench\n", "e.g. bench"),
        ("日本", "can't be used"),
    ],
)
def test_illegal_project_names(name, said):
    with pytest.raises(BadInput, match=said):
        legal_project_name(name)


def test_showing_and_nearest():
    assert shown("a\x1bb") == "'a?b'"
    assert len(shown("x" * 500)) < 50
    assert did_you_mean("hardwax oyl", ["Hardwax oil", "spar varnish"]) == (
        " (did you mean 'Hardwax oil'?)"
    )
    assert did_you_mean("zzz", ["Hardwax oil"]) == ""
    assert nearest("SPAR VARNICH", ["Hardwax oil", "spar varnish"]) == "spar varnish"
    assert nearest("zzz", ["Hardwax oil"]) is None
