"""From a project file to the last coat: record, check, correct, undo, and what follows."""

from __future__ import annotations

import datetime as dt

import pytest

from tests.cli.conftest import BENCH


def steps(shell, now=None):
    return {s["id"]: s for s in shell.right("plan", "bench", "--json", now=now).json["steps"]}


def start_of(shell, key, now=None):
    return dt.datetime.fromisoformat(steps(shell, now)[f"bench/pieces/1/{key}"]["start"])


def test_recording_a_step_says_what_was_understood_and_what_moved(shell):
    answer = shell.right("record", "step", "bench", "prepare", "--at", "today 16:00")
    assert answer.out.startswith("bench: done: ")
    assert "Mon 5 Oct 2026 16:00" in answer.words
    assert "moves from" in answer.words
    answer = shell.right("record", "sanded", "bench", "--at", "today 16:30")
    assert "done: Sand" in answer.out


def test_cautions_come_with_the_coat(shell):
    shell.right("record", "step", "bench", "seal", "--at", "today 10:00")
    answer = shell.right("record", "coat", "bench", "--at", "today 11:00", "--amount", "0,1 l")
    assert "Coat 1" in answer.out
    assert "under water" in answer.words


def test_the_next_coat_waits_for_the_safe_time_of_the_one_below(shell):
    shell.right("record", "step", "bench", "seal", "--at", "today 10:00")
    shell.right("record", "coat", "bench", "coat 1", "--at", "today 11:00")
    second = steps(shell)["bench/pieces/1/coat-2"]
    assert second["waits_for"]["step"] == "bench/pieces/1/coat-1"
    assert second["waits_for"]["safe"] <= second["start"]


def test_a_late_coat_moves_the_next_one(shell):
    shell.right("record", "step", "bench", "seal", "--at", "today 10:00")
    shell.right("record", "coat", "bench", "coat 1", "--at", "today 11:00")
    early = start_of(shell, "coat-2")
    shell.right(
        "correct", "bench", "last", "--at", "2026-10-08 20:00", now="2026-10-09T09:00+02:00"
    )
    assert start_of(shell, "coat-2", now="2026-10-09T09:00+02:00") > early


def test_undo_and_redo_bring_the_plan_back_to_the_minute(shell):
    before = steps(shell)
    shell.right("record", "step", "bench", "prepare", "--at", "today 16:00")
    after = steps(shell)
    assert after != before
    assert "undone" in shell.right("undo").out
    assert steps(shell) == before
    assert "brought back" in shell.right("redo", "bench").out
    assert steps(shell) == after
    kinds = [e["kind"] for e in shell.right("journal", "bench", "--json").json["entries"]]
    assert kinds == ["step done", "undo", "redo"]


def test_words_find_the_step(shell):
    for words in ("bench/pieces/1/coat-2", "pieces/1/coat-2", "pieces/coat-2", "coat-2", "coat 2"):
        assert "Coat 2" in shell.right("why", "bench", words).out
    assert "Coat 2" in shell.right("why", "bench", "Coat", "2").out
    assert (
        "without anything being ready later" in shell.right("why", "bench", "Coat 2", "--slack").out
    )


def test_a_dryness_check_is_learned_from(shell):
    shell.right("record", "step", "bench", "seal", "--at", "today 05:00")
    shell.right("record", "coat", "bench", "coat 1", "--at", "today 06:00")
    likely = steps(shell)["bench/pieces/1/coat-2"]["waits_for"]["likely"]
    later = "2026-10-08T17:00+02:00"
    answer = shell.right("record", "check", "bench", "--not-yet", now=later)
    assert "dry-to-recoat not yet" in answer.words
    slower = steps(shell, now=later)["bench/pieces/1/coat-2"]["waits_for"]["likely"]
    assert slower > likely


def test_what_was_learned_can_be_seen_used_and_forgotten(shell):
    assert "nothing yet" in shell.right("learned").out
    assert shell.right("learned", "--json").json == {"learned": []}
    shell.right("record", "step", "bench", "seal", "--at", "today 05:00")
    shell.right("record", "coat", "bench", "coat 1", "--at", "today 06:00")
    later = "2026-10-08T17:00+02:00"
    shell.right("record", "check", "bench", "--not-yet", now=later)
    told = shell.right("learned", now=later).words
    assert "times the book, from 1 check" in told
    (plain,) = shell.right("learned", "--json", now=later).json["learned"]
    assert plain["checks"] == 1 and plain["times_the_book"] > 1.0
    finish = plain["finish"]

    def safe(moment):
        answer = shell.right("dry", finish, "--space", "shed", "--json", now=moment).json
        return next(s["safe"] for s in answer["stages"] if s["stage"] == "dry-to-recoat")

    slow = safe(later)
    assert "times the book" in shell.right("dry", finish, "--space", "shed", now=later).words
    after = "2026-10-08T17:01+02:00"
    assert "book's times hold" in shell.right("learned", "forget", finish, now=after).words
    assert safe(after) < slow
    assert "nothing learned" in shell.right("learned", now=after).words
    assert shell("learned", "--workshop", "nowhere").status == 2


def test_skip_repeat_and_spoiled(shell):
    assert "left out" in shell.right("record", "skip", "bench", "prepare").out
    shell.right("record", "sanded", "bench", "sand", "--at", "today 16:59")
    assert "again" in shell.right("record", "repeat", "bench", "sand").out
    assert not steps(shell)["bench/pieces/1/sand"]["done"]
    assert "2 of slat" in shell.right("record", "spoiled", "bench", "slat", "2").out


def test_a_wish_is_kept_and_withdrawn(shell):
    first = start_of(shell, "prepare")
    shell.right("record", "wish", "bench", "prepare", "--at", "2026-10-06 19:00")
    assert start_of(shell, "prepare") == dt.datetime(2026, 10, 6, 17, tzinfo=dt.UTC)
    shell.right("record", "wish", "bench", "prepare", "--withdraw")
    assert start_of(shell, "prepare") == first


def test_what_was_missed_is_overdue(shell):
    shell.right("record", "step", "bench", "prepare", "--at", "today 16:00")
    later = "2026-10-06T23:30:00+02:00"
    items = shell.right("due", "--json", now=later).json["items"]
    assert {"overdue"} <= {item["state"] for item in items}
    assert shell("due", "--exit-code", now=later).status == 10
    assert shell("due", "--exit-code").status == 0


def test_materials_shrink_as_coats_go_on(shell):
    (before,) = shell.right("materials", "bench", "--json").json["finishes"]
    shell.right("record", "step", "bench", "seal", "--at", "today 10:00")
    shell.right("record", "coat", "bench", "coat 1", "--at", "today 11:00", "--amount", "0.1 l")
    (after,) = shell.right("materials", "bench", "--json").json["finishes"]
    assert after["litres_to_buy"] < before["litres_to_buy"]
    assert after["litres"] == before["litres"]
    assert "used so far: 0.1 L" in shell.right("materials", "bench").out


def test_saved_and_loaded_elsewhere_nothing_is_lost(shell, tmp_path):
    shell.right("record", "step", "bench", "prepare", "--at", "today 16:00", "--note", "dull blade")
    shell.right("air", "add", "--temp", "17 C", "--rh", "60")
    file = str(tmp_path / "saved.toml")
    assert "written" in shell.right("save", "bench", "-o", file).out
    assert "unchanged" in shell.right("save", "bench", "-o", file).out
    here = shell.right("plan", "bench", "--json").json
    journal = shell.right("journal", "--json").json
    shell.data = tmp_path / "elsewhere.db"
    loaded = shell.right("load", file).out
    assert "1 journal entry added" in loaded
    assert "1 reading of the air in shed added" in loaded
    assert shell.right("plan", "bench", "--json").json == here
    assert shell.right("journal", "--json").json == journal
    again = str(tmp_path / "again.toml")
    shell.right("save", "bench", "-o", again)
    assert (tmp_path / "again.toml").read_bytes() == (tmp_path / "saved.toml").read_bytes()


def test_the_calendar_is_left_alone_while_nothing_changes(shell, tmp_path):
    file = tmp_path / "bench.ics"
    assert " new, 0 changed, 0 cancelled" in shell.right("calendar", "-o", str(file)).out
    content, stamp = file.read_bytes(), file.stat().st_mtime_ns
    assert content.startswith(b"BEGIN:VCALENDAR\r\n")
    assert "unchanged" in shell.right("calendar", "bench", "-o", str(file)).out
    assert (file.read_bytes(), file.stat().st_mtime_ns) == (content, stamp)
    shell.right("record", "step", "bench", "prepare", "--at", "today 16:00")
    answer = shell.right("calendar", "-o", str(file))
    assert "unchanged" not in answer.out
    assert b"SEQUENCE:1" in file.read_bytes()


def test_a_calendar_that_cannot_be_written_keeps_no_ledger(shell, tmp_path):
    assert shell("calendar", "-o", str(tmp_path / "no" / "x.ics")).status == 2
    answer = shell.right("calendar", "-o", str(tmp_path / "x.ics"))
    assert not answer.out.endswith("0 new, 0 changed, 0 cancelled\n")


def test_backup_and_restore(shell, tmp_path):
    copy = str(tmp_path / "copy.db")
    assert "copied" in shell.right("backup", copy).out
    shell.right("record", "note", "bench", "after the copy")
    assert "kept in" in shell.right("restore", copy).out
    assert shell.right("journal").out == "Nothing is recorded yet.\n"
    assert shell.right("check").out == "All data is sound.\n"
    assert str(shell.data) in shell.right("where").out


def test_parts_preview_keeps_nothing(shell):
    new = "name,quantity,length (in),width (in),thickness (in),wood\nrail,2,20 1/2,2,7/8,oak\n"
    file = shell.file("rails.csv", new)
    assert "would be taken" in shell.right("parts", "bench", "--from", file, "--preview").out
    assert "rail" not in shell.right("parts", "bench").out
    assert "belong to batch pieces" in shell.right("parts", "bench", "--from", file).out
    assert "520.7 mm" in shell.right("parts", "bench").out
    assert "20 1/2 in" in shell.right("parts", "bench", "--units", "imperial").out
    cold = ("dry", "spar varnish", "--temp", "45F", "--rh", "70", "--units", "imperial")
    assert "constant air of 45 °F and 70 % RH" in shell.right(*cold).out


def test_own_finishes_come_and_go(shell):
    label = '[finish."shed oil"]\nlike = "penetrating oil"\ntitle = "Shed oil"\n'
    shell.right("finishes", "--add", shell.file("own.toml", label))
    assert "shed oil (own)" in shell.right("finishes").out
    assert shell.right("finishes", "shed oil", "--json").json["own"] is True
    shell.right("finishes", "shed oil", "--remove")
    assert "shed oil" not in shell.right("finishes").out


@pytest.mark.parametrize("units", ["metric", "imperial"])
def test_every_line_of_a_plan_fits_the_page(shell, units):
    lines = shell.right("plan", "bench", "--units", units).out.splitlines()
    assert max(len(line) for line in lines) <= 80
    assert lines[-1].endswith("Test on scrap first.")
    assert any("°" in line or "m²" in line or "ft²" in line for line in lines)


def test_a_project_started_from_a_cut_list(empty):
    assert "oiled outdoor bench" in empty.right("new", "Garden table").out
    cut_list = str(empty.folder / "cut_list.csv")
    words = ["new", "Garden table", "--job", "oiled outdoor bench", "--from", cut_list]
    made = empty.right(*words, "--in-service-by", "2026-12-24", "--zone", "Europe/Oslo")
    assert "garden_table started: 12 pieces" in made.out
    assert "Europe/Oslo" in empty.right("plan", "garden_table").out
    short = empty.right("plan", "garden_table", "--short").out
    assert short.startswith("garden_table, ready ")
    assert len(short) < len(empty.right("plan", "garden_table").out) / 3
    refused = empty(*words[:2], "--job", "gilding", "--from", cut_list)
    assert (refused.status, refused.out) == (2, "")
    assert "oiled outdoor bench" in refused.err


def test_levers_are_ranked_by_what_they_gain(shell):
    found = shell.right("levers", "bench", "--json").json
    gains = [lever["gain_hours"] for lever in found["levers"]]
    assert gains == sorted(gains, reverse=True)
    assert any(lever["name"].startswith("warmth") for lever in found["levers"])
    assert found["not_pulled"] == []
    text = shell.right("levers", "bench").out
    assert "bench is safely ready" in text
    assert "not every lever" not in text


def test_levers_that_were_not_pulled_are_told(shell, monkeypatch):
    monkeypatch.setattr("finplan.planning.obstacles._PLANNED_IN_ALL", 0)
    monkeypatch.setattr("finplan.planning.obstacles._LEAST_PLANS", 2)
    found = shell.right("levers", "bench", "--json").json
    assert len(found["levers"]) <= 2
    assert found["not_pulled"]
    text = " ".join(shell.right("levers", "bench").out.split())
    assert f"not every lever was pulled: {len(found['not_pulled'])} were not, such as" in text
    assert found["not_pulled"][0] in text


def test_facts_can_be_told_where_no_plan_is_possible(empty):
    start, _, rest = BENCH.partition("mean_c = [")
    frozen = f"{start}mean_c = [{', '.join(['-15'] * 12)}]{rest.partition(']')[2]}"
    empty.right("load", empty.file("bench.toml", frozen))
    assert empty("plan", "bench").status == 2
    empty.right("record", "skip", "bench", "seal", "--at", "today 09:00")
    answer = empty.right("record", "coat", "bench", "coat 1", "--at", "today 10:00")
    assert "no plan is possible now" in answer.words
    assert "2 of" not in answer.words
    kinds = [e["kind"] for e in empty.right("journal", "--json").json["entries"]]
    assert kinds == ["step skipped", "step done"]


def test_a_project_done_to_the_last_step(shell):
    summer = "2027-06-01T00:00:00Z"
    for step in steps(shell).values():
        key = step["id"].rpartition("/")[2]
        when = ["--started", step["start"], "--at", step["end"]]
        shell.right("record", "step", "bench", key, *when, now=summer)
    assert all(step["done"] for step in steps(shell, summer).values())
    assert "  finished " in shell.right("plan", "bench", now=summer).out
    assert "finished  12/12" in shell.right("projects", now=summer).out
    assert shell.right("due", now=summer).out == "Nothing is due.\n"
    assert shell("levers", "bench", now=summer).status == 2
    (oil,) = shell.right("materials", "bench", "--json", now=summer).json["finishes"]
    assert (oil["litres_to_buy"], oil["cans"]) == (0, [])


def test_a_time_to_come_is_said_in_the_workshop_s_zone(shell):
    answer = shell("record", "step", "bench", "prepare", "--at", "today 19:00")
    assert answer.status == 2
    assert "Mon 5 Oct 2026 19:00 is in the future (now is Mon 5 Oct 2026 17:00)" in answer.err


def test_put_aside_and_taken_up_again(shell):
    shell.right("projects", "--put-aside", "bench")
    assert shell.right("projects", "--json").json == {"projects": []}
    assert "bench" in shell.right("plan", "bench").out
    assert shell("plan").status == 2
    shell.right("projects", "--take-up", "bench")
    assert [one["name"] for one in shell.right("projects", "--json").json["projects"]] == ["bench"]
    assert shell("projects", "--put-aside", "benhc").status == 2


def test_a_can_and_a_meter_are_told_in_passing(shell):
    shell.right("record", "step", "bench", "seal", "--at", "today 05:00")
    shell.right("record", "coat", "bench", "coat 1", "--at", "today 06:00", "--can", "B")
    assert "can B" in shell.right("journal", "bench").words
    assert "can C" in shell.right("correct", "bench", "last", "--can", "C").words
    dry = ("dry", "penetrating oil", "--temp", "20 C", "--rh", "50", "--wood")
    assert "to coat then: go" in shell.right(*dry, "11%").words
    assert "19 % moisture by the meter" in shell.right(*dry, "19").words
    assert shell(*dry, "damp").status == 2


def test_what_moved_is_told_in_full_when_asked_for(shell):
    told = shell.right("record", "step", "bench", "prepare", "--at", "today 16:00").words
    assert "steps after it by" in told
    later = "2026-10-08T17:00:00+02:00"
    assert "moved since Mon 5 Oct 2026 17:00" in shell.right("plan", "bench", now=later).words
    short = shell.right("plan", "bench", "--changes", now=later).words
    full = shell.right("plan", "bench", "--changes", "--all", now=later).words
    for words in (short, full):
        assert words.startswith("Moved by the last change of the data, Mon 5 Oct 2026 17:00")
        assert "because nothing is recorded of it" in words
    assert full.count("moves from") > short.count("moves from")
    assert "steps after it by" in short
    assert "steps after it" not in full
    assert "Every step: finplan plan bench --changes --all" in short


def test_what_moved_of_other_projects_is_only_counted(shell):
    stool = BENCH.replace('name = "bench"', 'name = "stool"').replace('"11111111', '"21111111')
    shell.right("load", shell.file("stool.toml", stool))
    later = "2026-10-08T17:00:00+02:00"
    of_bench = shell.right("plan", "bench", "--changes", now=later).words
    of_stool = shell.right("plan", "stool", "--changes", now=later).words
    assert "bench is safely ready" in of_bench
    assert "changes of stool: finplan plan stool --changes" in of_bench
    assert "stool is safely ready" in of_stool
    assert "changes of bench: finplan plan bench --changes" in of_stool
    both = shell.right("plan", "bench", "stool", "--changes", now=later).words
    assert "bench is safely ready" in both
    assert "stool is safely ready" in both
    assert "changes of" not in both


def test_the_chance_to_be_ready_is_told_with_what_it_rests_on(shell):
    told = shell.right("chance", "bench").words
    assert told.startswith("bench is ready by Sun 20 Dec 2026 in 10 of 10 such years.")
    assert "days to spare" in told
    assert "Begun only then" in told
    assert "assumption: one work day in ten" in told
    assert told.endswith("what makes it unsure: finplan chance bench --by 2026-12-20 --sources")
    assert shell.right("chance", "bench").words == told
    assert shell("chance", "nothing").status == 2
    past = shell("chance", "bench", "--by", "2026-09-01")
    assert past.status == 2
    assert "Tue 1 Sep 2026 is past: give a day still to come" in past.err
    sources = shell.right("chance", "bench", "--sources").words
    for source in ("Were days missed evenly", "Were the weather as usual", "Did every finish dry"):
        assert f"- {source}" in sources


def test_a_reading_is_taken_back_and_brought_back(shell):
    before = shell.right("plan", "bench", "--json").json["steps"]
    shell.right("air", "add", "--temp", "4C", "--rh", "60")
    cold = shell.right("plan", "bench", "--json").json["steps"]
    assert cold != before
    assert "undone: shed: reading of 4 °C, 60 % in shed, Mon 5 Oct" in shell.right("undo").words
    assert shell.right("plan", "bench", "--json").json["steps"] == before
    assert "brought back: shed: reading of 4 °C" in shell.right("redo").words
    assert shell.right("plan", "bench", "--json").json["steps"] == cold
    assert shell("undo", "bench").status == 2


def test_the_only_project_needs_no_name(shell):
    assert "bench: done: " in shell.right("record", "sanded").out
    assert "bench: done: " in shell.right("record", "step").out
    refused = shell("record", "check")
    assert refused.status == 2 and "no coat is recorded yet" in refused.err
    shell.right("sample", "oak_door")
    several = shell("record", "coat")
    assert several.status == 2
    assert "say which project is meant: bench, oak_door" in several.err


def test_nothing_to_record_on_says_how_to_begin(empty):
    refused = empty("record", "coat")
    assert refused.status == 2
    assert "there is no project yet" in refused.err and "finplan new TITLE" in refused.err
