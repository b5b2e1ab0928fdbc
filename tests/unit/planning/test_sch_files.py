"""Files of published instances: bad ones give one sentence, and what is solved holds."""

from __future__ import annotations

import json
import sys

import pytest

from finplan.planning.lags import schedule
from finplan.trade.errors import BadInput
from tests.benchmarks import rcpsp_max
from tests.benchmarks.rcpsp_max_against import bare, invented
from tests.benchmarks.sch import read_sch

GOOD = """2 1 0 0
0 1 2 1 2 [0] [0]
1 1 1 3 [2]
2 1 2 3 1 [3] [-9]
3 1 0
0 1 0 0
1 1 2 4
2 1 3 4
3 1 0 0
5
"""


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("2 1 0 0", "", "6 lines are expected for 0 activities, there are 9"),
        ("2 1 0 0", "200 1 0 0", "406 lines are expected for 200 activities, there are 10"),
        ("1 1 1 3 [2]", "1 1 1 7 [2]", "line 3: there is no activity 7"),
        ("1 1 1 3 [2]", "1 1 2 3 [2]", "activity 1, its mode, a number of successors"),
        ("1 1 2 4", "1 1 2", "4 numbers are expected, there are 3"),
        ("1 1 2 4", "1 1 -2 4", "below zero"),
        ("\n5\n", "\n", "10 lines are expected"),
        ("[3]", "[3000000]", "beyond"),
        ("[3]", "[\u00e9]", "cannot be read as text"),
        ("1 1 2 4", "1 1 2.5 4", "line 7: whole numbers are expected"),
        ("1 1 2 4", "1 1 two 4", "line 7: whole numbers are expected"),
        (GOOD, "", "the first line has to give activities and resources"),
    ],
)
def test_a_bad_file_gives_one_sentence(tmp_path, old, new, said, monkeypatch, capsys):
    path = tmp_path / "psp1.sch"
    path.write_text(GOOD.replace(old, new, 1))
    with pytest.raises(BadInput, match=said):
        read_sch(path)
    monkeypatch.setattr(sys, "argv", ["rcpsp_max.py", str(tmp_path), "--json"])
    assert rcpsp_max.main() == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert printed.err.count("\n") == 1
    assert "psp1.sch" in printed.err


def test_a_folder_without_instances_is_refused(tmp_path, monkeypatch, capsys):
    for folder in (tmp_path, tmp_path / "none"):
        monkeypatch.setattr(sys, "argv", ["rcpsp_max.py", str(folder)])
        assert rcpsp_max.main() == 2
        assert capsys.readouterr().err.count("\n") == 1


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("psp1.sch", GOOD),
        ("PSP1.SCH", GOOD),
        ("psp1.sch", GOOD.replace("\n", "\r\n")),
        ("psp1.sch", "\n" + GOOD.replace("\n", "  \n\n") + "\n\t\n"),
        ("psp1.sch", GOOD.replace(" ", "\t").replace("[", "[ ").replace("]", " ]")),
        ("psp1.sch", GOOD.removesuffix("\n")),
    ],
)
def test_a_folder_is_solved_as_json(tmp_path, name, text, monkeypatch, capsys):
    (tmp_path / name).write_bytes(text.encode())
    (tmp_path / "optimum.csv").write_text("problem,optimum\n")
    monkeypatch.setattr(sys, "argv", ["rcpsp_max.py", str(tmp_path), "--seconds", "5", "--json"])
    assert rcpsp_max.main() == 0
    printed = json.loads(capsys.readouterr().out)
    assert list(printed) == ["instances"]
    (one,) = printed["instances"]
    assert list(one) == ["name", "status", "makespan", "bound", "seconds"]
    assert one.pop("seconds") >= 0
    assert one == {"name": name, "status": "optimal", "makespan": 5, "bound": 5}


NO_RESOURCES = GOOD.replace("2 1 0 0", "2 0 0 0").replace(
    "0 1 0 0\n1 1 2 4\n2 1 3 4\n3 1 0 0\n5\n", "0 1 0\n1 1 2\n2 1 3\n3 1 0\n"
)


@pytest.mark.parametrize(
    ("text", "status", "makespan"),
    [
        (GOOD.replace("\n5\n", "\n0\n"), "infeasible", None),
        (GOOD.replace("2 4\n2 1 3 4", "2 0\n2 1 3 0").replace("\n5\n", "\n0\n"), "optimal", 3),
        (GOOD.replace("1 1 2 4", "1 1 0 9"), "optimal", 3),  # over at once: it takes nothing
        (NO_RESOURCES, "optimal", 3),
        (NO_RESOURCES + "\n", "optimal", 3),
    ],
)
def test_resources_may_be_empty_or_none_at_all(tmp_path, text, status, makespan):
    path = tmp_path / "psp1.sch"
    path.write_text(text)
    network = read_sch(path)
    for solve in (schedule, bare):
        answer = solve(network, 5.0, 1)
        assert (answer.status, answer.makespan) == (status, makespan)


@pytest.mark.parametrize("seed", range(6))
def test_the_core_agrees_with_the_bare_model_on_invented_instances(seed):
    network = invented(12, seed)
    own, plain = schedule(network, 20.0), bare(network, 20.0, 2)
    assert own.status in ("optimal", "infeasible")
    assert (own.status, own.makespan) == (plain.status, plain.makespan)
