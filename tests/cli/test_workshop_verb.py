"""Hours, people and rooms of a workshop, shown and changed."""

import pytest


def test_shown_and_changed(shell):
    shown = shell.right("workshop").words
    assert "Maker: weekday evenings 18:30 to 21:30; Sat 08:00 to 17:00" in shown
    assert "shed: rack 3 m², usually 18 °C, 55 % RH" in shown
    before = shell.right("plan", "bench", "--json").json["ready"]
    told = shell.right(
        "workshop", "--hours", "tue 18:30-21:30, sat 8-17", "--day-off", "2026-10-10"
    )
    assert (
        "Maker: Tue evenings 18:30 to 21:30; Sat 08:00 to 17:00 off Sat 10 Oct 2026" in told.words
    )
    assert " later" in told.words
    plan = shell.right("plan", "bench", "--json").json
    assert plan["ready"] > before
    assert not any(step["start"].startswith("2026-10-10") for step in plan["steps"])
    shell.right("workshop", "--back-on", "2026-10-10", "--person", "Maker")
    found = shell.right("workshop", "--json").json["workshops"][0]
    assert found["people"][0] == {
        "name": "Maker",
        "hours": "Tue evenings 18:30 to 21:30; Sat 08:00 to 17:00",
        "days_off": [],
        "busy": [],
        "can": None,
    }


def test_people_and_rooms_come_and_go(shell):
    helper = ("--person", "Kim", "--hours", "mon-fri 9-12", "--can", "sand, wipe off")
    assert (
        "Kim: weekday mornings 09:00 to 12:00; only sand, wipe off"
        in shell.right("workshop", *helper).words
    )
    assert "Kim" not in shell.right("workshop", "--person", "Kim", "--leaves").words
    room = ("--space", "loft", "--rack", "2 m2", "--temp", "20C", "--rh", "50", "--safe", "90")
    told = shell.right("workshop", "shed", *room).words
    assert "loft: rack 2 m², usually 20 °C, 50 % RH" in told
    assert "by which 90% are ready" in told


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--hours", "someday 8-9"), "'someday' is no weekday"),
        (("--person", "Kim"), "say what of the person changes"),
        (("--person", "Makr", "--leaves"), "did you mean 'Maker'"),
        (("--leaves",), "the last one"),
        (("--can", "sandd"), "did you mean 'sand'"),
        (("--space", "loft"), "say what of the room changes"),
        (("--space", "loft", "--rack", "2 m2"), "a new room: give --rack, --temp and --rh"),
        (("--rack", "0.001 m2"), "of the rack"),
        (("--temp", "18C"), "give both --temp and --rh"),
        (("--safe", "20"), "no safe quantile"),
        (("elsewhere",), "there is no workshop 'elsewhere'"),
        (("--day-off", "4/5"), "can be 4 May or 5 Apr"),
    ],
)
def test_refused_and_nothing_kept(shell, words, said):
    before = shell.right("workshop", "--json").out
    answer = shell("workshop", *words)
    assert answer.status == 2
    assert said in answer.err
    assert shell.right("workshop", "--json").out == before


def test_a_new_project_says_where_and_what_it_is_called(shell):
    cuts = str(shell.folder / "cut_list.csv")
    shell.file("cut_list.csv", "name,qty,length,width,thickness\ntop,1,60,20,1\n")
    given = ("--job", "oiled worktop", "--from", cuts, "--unit", "in")
    hours = ("--hours", "sat sun 9-12", "--zone", "Asia/Tokyo")
    there = ("--name", "shelf", "--workshop", "第二工房", "--space", "乾燥室")
    told = shell.right("new", "棚", *given, *hours, *there).out
    assert "shelf started: 1 piece, " in told and "乾燥室 of 第二工房" in told
    assert "shelf: 棚" in shell.right("projects").out
    assert "say where with --workshop: shed, 第二工房" in shell("new", "棚", *given).err
    fault = shell("new", "棚", *given, "--workshop", "shed", "--name", "shelf").err
    assert "there is a project 'shelf' already" in fault
    assert "'a b' can't be used" in shell("new", "x", *given, *there[2:], "--name", "a b").err
    assert "60 in" in shell.right("parts", "shelf", "--units", "imperial").out


def test_bare_degrees_of_a_new_workshop_are_read_in_the_units_asked_for(shell):
    cuts = shell.file("cut_list.csv", "name,qty,length,width,thickness\ntop,1,60,20,1\n")
    words = ("new", "Top", "--job", "oiled worktop", "--from", cuts, "--unit", "in")
    shell.right(*words, "--workshop", "barn", "--temp", "65", "--units", "imperial")
    (barn,) = shell.right("workshop", "barn", "--json").json["workshops"]
    assert barn["spaces"][0]["mean_c"][0] == pytest.approx(18.33, abs=0.01)


def test_a_change_is_undone_and_done_again(shell):
    before = shell.right("workshop", "--json").out
    shell.right("plan", "bench")
    assert " later" in shell.right("workshop", "--hours", "tue 18:30-21:30").words
    changed = shell.right("workshop", "--json").out
    undone = shell.right("undo").words
    assert undone.startswith("undone: shed: hours of Maker")
    assert " sooner" in undone
    assert shell.right("workshop", "--json").out == before
    assert "brought back: shed: hours of Maker" in shell.right("redo").words
    assert shell.right("workshop", "--json").out == changed
