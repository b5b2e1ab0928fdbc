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


def test_a_folder_is_solved_as_json(tmp_path, monkeypatch, capsys):
    (tmp_path / "psp1.sch").write_text(GOOD)
    monkeypatch.setattr(sys, "argv", ["rcpsp_max.py", str(tmp_path), "--seconds", "5", "--json"])
    assert rcpsp_max.main() == 0
    (one,) = json.loads(capsys.readouterr().out)["instances"]
    assert one.pop("seconds") >= 0
    assert one == {"name": "psp1.sch", "status": "optimal", "makespan": 5, "bound": 5}


@pytest.mark.parametrize("seed", range(6))
def test_the_core_agrees_with_the_bare_model_on_invented_instances(seed):
    network = invented(12, seed)
    own, plain = schedule(network, 20.0), bare(network, 20.0, 2)
    assert own.status in ("optimal", "infeasible")
    assert (own.status, own.makespan) == (plain.status, plain.makespan)
