"""Whatever is typed, the command line answers in one sentence and leaves the data sound."""

from __future__ import annotations

import contextlib
import io

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from finplan.cli.app import main
from tests.cli.conftest import BENCH, CUT_LIST, NOW

SLOTS = [
    ["plan", "?"],
    ["plan", "bench", "--ready-by", "?"],
    ["why", "bench", "?"],
    ["why", "bench", "coat-1", "--at", "?"],
    ["record", "step", "bench", "?"],
    ["record", "step", "bench", "prepare", "--at", "?"],
    ["record", "step", "bench", "prepare", "--amount", "?"],
    ["record", "step", "bench", "prepare", "--by", "?"],
    ["record", "spoiled", "bench", "slat", "?"],
    ["record", "note", "bench", "?"],
    ["correct", "bench", "?", "--note", "x"],
    ["undo", "?"],
    ["journal", "?"],
    ["due", "--within", "?"],
    ["dry", "?"],
    ["dry", "penetrating oil", "--start", "?"],
    ["air", "--temp", "?", "--rh", "50"],
    ["air", "--temp", "20 C", "--rh", "?"],
    ["materials", "?"],
    ["finishes", "?"],
    ["sample", "?"],
    ["load", "?"],
    ["parts", "bench", "--from", "?"],
    ["plan", "bench", "--now", "?"],
    ["plan", "bench", "--zone", "?"],
    ["?", "bench"],
]
TYPED = st.one_of(
    st.text(max_size=20),
    st.text(min_size=5_000, max_size=5_000),
    st.from_regex(r"[+-]?[0-9]{1,4}[./: -][0-9]{1,3}([ T][0-9]{2}:[0-9]{2})? ?[a-zA-Z°%]{0,4}"),
    st.sampled_from(["fri 18:00", "+3h", "2026-02-30", "\udcff", "[red]x[/]", "\x1b[31m", "4/5"]),
)


@pytest.fixture(scope="module")
def data(tmp_path_factory):
    folder = tmp_path_factory.mktemp("typed")
    (folder / "cut_list.csv").write_text(CUT_LIST)
    (folder / "bench.toml").write_text(BENCH)
    assert answer(folder / "data.db", ["load", str(folder / "bench.toml")])[0] == 0
    return folder / "data.db"


def answer(data, words):
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        status = main(["--data", str(data), "--now", NOW, *words])
    return status, out.getvalue(), err.getvalue()


@settings(max_examples=60)
@given(st.sampled_from(SLOTS), TYPED)
def test_one_sentence_or_an_answer(data, words, typed):
    status, out, err = answer(data, [typed if word == "?" else word for word in words])
    assert status in (0, 2), err
    if status == 2:
        assert (out, err.count("\n")) == ("", 1)
        assert err[:-1].isprintable()
        assert len(err) < 600


def test_the_data_is_sound_afterwards(data):
    assert answer(data, ["check"]) == (0, "All data is sound.\n", "")
