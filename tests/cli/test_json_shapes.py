"""The JSON that scripts rely on: its keys, its kinds of value, and nothing else on stdout."""

from __future__ import annotations

import datetime as dt

import pytest

STEP_KEYS = {
    "id",
    "batch",
    "load",
    "kind",
    "coat",
    "side",
    "title",
    "start",
    "end",
    "waits_for",
    "window_closes",
    "reason",
    "done",
}


def instant(text):
    moment = dt.datetime.fromisoformat(text)
    assert text.endswith("Z") and moment.tzinfo is not None
    return moment


def test_plan(shell):
    plan = shell.right("plan", "bench", "--json").json
    assert list(plan) == [
        "project",
        "now",
        "method",
        "ready",
        "bound",
        "bound_by",
        "sooner",
        "gap",
        "steps",
        "changes",
        "warnings",
        "deadline",
    ]
    assert plan["changes"] == {"since": plan["now"], "moved": []}
    assert plan["project"] == "bench"
    assert plan["deadline"] is None
    assert plan["now"] == "2026-10-05T15:00:00Z"
    assert plan["method"] in ("forward", "optimal", "best found")
    assert all(set(step) == STEP_KEYS for step in plan["steps"])
    assert len({step["id"] for step in plan["steps"]}) == len(plan["steps"])
    for step in plan["steps"]:
        assert instant(step["start"]) <= instant(step["end"])
        assert step["id"].startswith(f"bench/{step['batch']}/{step['load']}/")
    waits = [step["waits_for"] for step in plan["steps"] if step["waits_for"]]
    assert waits
    for wait in waits:
        assert set(wait) == {"step", "stage", "likely", "safe"}
        assert instant(wait["likely"]) <= instant(wait["safe"])
    assert instant(plan["ready"]) == max(instant(step["end"]) for step in plan["steps"])


def test_changes_of_a_plan(shell):
    later = "2026-10-08T17:00:00+02:00"
    changes = shell.right("plan", "bench", "--json", now=later).json["changes"]
    assert changes["since"] == "2026-10-05T15:00:00Z"
    date, *steps = changes["moved"]
    assert date["step"] is None
    assert instant(date["was"]) < instant(date["now"])
    assert steps
    for moved in changes["moved"]:
        assert set(moved) == {"step", "was", "now", "because"}


def test_why(shell):
    told = shell.right("why", "bench", "coat-2", "--slack", "--at", "sat 3:00", "--json").json
    assert set(told) == STEP_KEYS | {"chain", "window_missed", "slack_hours", "at"}
    assert told["id"] == "bench/pieces/1/coat-2"
    assert told["chain"][-1].startswith("bench/pieces/1/")
    assert told["slack_hours"] >= 0
    assert told["window_missed"] == []
    assert told["at"]["possible"] is False
    assert "nobody has work hours" in told["at"]["said"]
    plain = shell.right("why", "bench", "coat-2", "--json").json
    assert (plain["slack_hours"], plain["at"]) == (None, None)


def test_plan_of_a_recorded_step_keeps_its_id(shell):
    before = shell.right("plan", "bench", "--json").json["steps"]
    shell.right("record", "step", "bench", "prepare", "--at", "today 16:00")
    after = shell.right("plan", "bench", "--json").json["steps"]
    assert {step["id"] for step in before} == {step["id"] for step in after}
    assert [step["kind"] for step in after if step["done"]] == ["prepare"]


def test_dry_at_room_air_is_the_label_s_time(empty):
    answer = empty.right("dry", "penetrating oil", "--start", "2026-10-05T18:00+02:00", "--json")
    dry = answer.json
    assert list(dry) == ["finish", "start", "stages", "window_closes", "warnings"]
    assert (dry["finish"], dry["start"]) == ("penetrating oil", "2026-10-05T16:00:00Z")
    assert all(
        list(stage) == ["stage", "reference_hours", "likely", "safe"] for stage in dry["stages"]
    )
    for stage in dry["stages"]:
        hours = (instant(stage["safe"]) - instant(dry["start"])).total_seconds() / 3600
        assert hours == pytest.approx(stage["reference_hours"], rel=1e-3)
        assert instant(stage["likely"]) <= instant(stage["safe"])


def test_dry_answers_what_heating_would_bring(empty):
    cold = ("dry", "penetrating oil", "--temp", "9 C", "--rh", "85", "--json")

    def safe(*more):
        answer = empty.right(*cold, *more).json
        by_stage = {stage["stage"]: stage["safe"] for stage in answer["stages"]}
        return instant(by_stage["dry-to-recoat"]) - instant(answer["start"])

    assert safe("--heat-to", "18 C") < safe() / 2
    assert safe("--heat-to", "18 C") == safe("--heat-to", "64.4 F")
    assert safe("--heat-to", "5 C") == safe()
    assert safe("--heat-to", "12 C", "--dry-to", "50") < safe("--heat-to", "12 C")
    assert safe("--film", "2") > 2 * safe()
    assert safe("--covered") == safe()  # in air that does not change


def test_dry_says_when_it_is_good_to_coat_and_why_not_now(empty, tmp_path):
    rows = [f"2026-10-05T{h:02}:00Z,{3 if h < 10 else 15},60" for h in range(24)]
    log = tmp_path / "log.csv"
    log.write_text("time,temperature (°C),humidity (%)\n" + "\n".join(rows), "utf-8")
    asked = (
        "dry",
        "penetrating oil",
        "--air",
        log,
        "--start",
        "2026-10-05T06:00Z",
        "--zone",
        "UTC",
    )
    words = empty.right(*asked).words
    # From 10:00 the boards (0.34 h behind the air) near 15 °C from 3; at 19 min they are 3 °C above
    # the dew point of 7.3 °C.
    assert "to coat then: wait; good hours are Mon 5 Oct 2026 10:30" in words
    assert "too cold: Penetrating oil needs 5 °C (" in words  # and its source
    assert "to coat then: go" in empty.right("dry", "penetrating oil").words
    cold = empty.right("dry", "penetrating oil", "--temp", "2 C", "--rh", "60").words
    assert "to coat then: no" in cold


def test_dry_tells_of_cold_while_a_film_forms(empty, tmp_path):
    rows = [f"2026-10-05T{h:02}:00Z,{18 if h < 14 else 7},60" for h in range(24)]
    log = tmp_path / "log.csv"
    log.write_text("time,temperature (°C),humidity (%)\n" + "\n".join(rows), "utf-8")
    answer = empty.right(
        "dry", "waterborne polyurethane", "--air", log, "--start", "2026-10-05T13:00Z", "--json"
    ).json
    told = [warning for warning in answer["warnings"] if "may stay weak" in warning]
    assert len(told) == 1 and "14:00" in told[0]


def test_air_with_a_wood_that_moves(empty):
    words = ("air", "--temp", "23 C", "--rh", "50", "--moves", "Oak", "--fitted-at", "6")
    wood = empty.right(*words, "--json").json["wood"]
    assert wood["wood"] == "white oak"
    # Wood Handbook FPL-GTR-190 (2010), equation 13-2 and table 13-5, to 9.2 % EMC.
    assert wood["flat_sawn"] == pytest.approx(0.00365 * 3.19, rel=0.03)
    assert wood["quarter_sawn"] == pytest.approx(0.00180 * 3.19, rel=0.03)
    assert wood["linear"] is True
    told = empty.right(*words).words
    assert "white oak fitted at 6 % then moves by +11.6 mm a metre across the grain" in told
    assert "in a foot" in empty.right(*words, "--units", "imperial").words
    assert empty("air", "--temp", "23 C", "--rh", "50", "--moves", "balsa").status == 2
    assert (
        "beyond 6 to 14 %"
        in empty.right("air", "--temp", "9C", "--rh", "92", "--moves", "ash").words
    )


def test_air(empty):
    air = empty.right("air", "--temp", "23 C", "--rh", "50", "--json").json
    assert list(air) == [
        "temperature_c",
        "relative_humidity",
        "dew_point_c",
        "vapour_pressure_deficit_pa",
        "emc_percent",
        "warnings",
    ]
    # Wood Handbook table 4-2 and psychrolib 2.5.0 for 23 °C and 50 %.
    assert air["dew_point_c"] == pytest.approx(12.03, abs=0.05)
    assert air["vapour_pressure_deficit_pa"] == pytest.approx(1405.2, rel=0.01)
    assert air["emc_percent"] == pytest.approx(9.19, abs=0.1)
    assert air["warnings"] == []


def test_air_by_the_dew_point_warns(empty):
    assert empty.right("air", "--temp", "50F", "--rh", "90", "--json").json["warnings"]


def test_materials(shell):
    needed = shell.right("materials", "bench", "--json").json
    assert list(needed) == ["project", "area_m2", "finishes"]
    (oil,) = needed["finishes"]
    assert list(oil) == ["finish", "coats", "litres", "litres_to_buy", "cans", "cost"]
    assert all(list(coat) == ["coat", "area_m2", "litres"] for coat in oil["coats"])
    assert [coat["coat"] for coat in oil["coats"]] == [0, 1, 2]
    assert oil["coats"][1]["area_m2"] == pytest.approx(needed["area_m2"], abs=1e-3)
    assert oil["litres"] == pytest.approx(sum(c["litres"] for c in oil["coats"]), abs=1e-3)
    bought = sum(can["litres"] * can["count"] for can in oil["cans"])
    assert bought >= oil["litres_to_buy"] > oil["litres"]


def test_lists(shell):
    samples = shell.right("sample", "--json").json["samples"]
    assert {sample["name"] for sample in samples} >= {"locust_bench", "beech_worktop", "oak_door"}
    assert all(list(sample) == ["name", "about"] for sample in samples)
    (project,) = shell.right("projects", "--json").json["projects"]
    assert list(project) == ["name", "ready", "next"]
    assert instant(project["next"]) < instant(project["ready"])
    finishes = shell.right("finishes", "--json").json["finishes"]
    assert len(finishes) >= 15
    assert all(list(finish) == ["name", "chemistry"] for finish in finishes)


def test_due(shell):
    due = shell.right("due", "--within", "36h", "--json").json
    assert list(due) == ["now", "items"]
    assert due["items"]
    for item in due["items"]:
        assert list(item) == ["what", "project", "batch", "step", "at", "until", "state"]
        assert item["state"] in ("overdue", "now", "window closing", "soon")


def test_journal(shell):
    shell.right("record", "note", "bench", "looked", "at", "it")
    (entry,) = shell.right("journal", "bench", "--json").json["entries"]
    assert entry["kind"] == "note"
    assert entry["details"] == {"note": "looked at it"}
    assert entry["undone"] is False


def test_several_projects_give_several_plans(shell):
    shell.right("load", shell.file("two.toml", SECOND))
    both = shell.right("plan", "--json").json
    assert [plan["project"] for plan in both["plans"]] == ["bench", "stool"]
    one = shell.right("plan", "stool", "--json").json
    assert one == both["plans"][1]


SECOND = """\
[project]
name = "stool"
workshop = "shed"

[[parts]]
name = "seat"
quantity = 1
length_mm = 400
width_mm = 300
thickness_mm = 30
wood = "white oak"

[[batches]]
name = "seat"
parts = ["seat"]
space = "shed"
schedule = "oiled worktop"
"""


def test_now(shell):
    shell.right("record", "skip", "bench", "seal", "--at", "today 05:00")
    shell.right("record", "coat", "bench", "coat 1", "--at", "today 06:00")
    seen = shell.right("now", "--json").json
    assert list(seen) == [
        "now",
        "drying",
        "next_session",
        "overdue",
        "windows",
        "air",
        "warnings",
        "timers",
        "upkeep",
    ]
    assert seen["upkeep"] == []
    (drying,) = seen["drying"]
    assert drying["step"] == "bench/pieces/1/coat-1"
    assert 0 < drying["fraction"] < 1
    assert instant(drying["likely"]) < instant(drying["safe"]) < instant(drying["window_closes"])
    assert seen["next_session"]
    assert [window["step"] for window in seen["windows"]] == ["bench/pieces/1/coat-2"]
    (air,) = seen["air"]
    assert air["finishes"] == {"penetrating oil": True}
    printed = shell.right("now").out
    for words in ("Drying", "Next session", "Recoat windows", "Air", "may go on"):
        assert words in printed
    assert max(map(len, printed.splitlines())) <= 80


def test_timers_of_a_coat_just_put_on(shell):
    shell.right("record", "skip", "bench", "seal", "--at", "today 05:00")
    shell.right("record", "step", "bench", "coat-1", "--at", "today 16:50")
    (rags,) = shell.right("now", "--json").json["timers"][:1]
    assert list(rags) == ["kind", "step", "finish", "rings", "latest"]
    assert rags["step"] == "bench/pieces/1/coat-1" and rags["rings"] == "2026-10-05T14:50:00Z"


def test_air_of_the_rooms(shell):
    shell.right("air", "add", "--temp", "17C", "--rh", "61")
    (space,) = shell.right("air", "show", "--days", "1", "--every", "12", "--json").json["spaces"]
    assert list(space) == [
        "workshop",
        "space",
        "temperature_c",
        "relative_humidity",
        "dew_point_c",
        "emc_percent",
        "source",
        "finishes",
        "hours",
    ]
    assert (space["temperature_c"], space["relative_humidity"]) == (17.0, 61.0)
    assert [hour["source"] for hour in space["hours"]] == ["normals"] * 2 + ["reading"] + [
        "normals"
    ] * 2
    assert list(space["finishes"][0]) == [
        "finish",
        "allowed",
        "reasons",
        "coldest_c",
        "dampest_percent",
        "good_hours",
    ]
    assert shell.right("air", "log", "--json").json == {
        "entries": [
            {
                "recorded_at": "2026-10-05T15:00:00Z",
                "word": "kept",
                "what": "reading of 17 °C, 61 % in shed, Mon 5 Oct 2026 17:00",
            }
        ]
    }
    assert shell("air", "show", "--space", "attic").status == 2


def test_chance(shell):
    found = shell.right("chance", "bench", "--by", "2026-12-01", "--json").json
    assert list(found) == [
        "project",
        "by",
        "share",
        "runs",
        "safe",
        "one_in_ten",
        "half",
        "nine_in_ten",
        "missed",
        "weather_years",
        "put_off",
        "sources",
    ]
    assert found["sources"] is None
    assert found["by"] == "2026-12-01"
    assert 0.0 <= found["put_off"]["share"] <= found["share"] <= 1.0
    assert instant(found["one_in_ten"]) <= instant(found["half"]) <= instant(found["nine_in_ten"])
    assert instant(found["put_off"]["start"]) > instant("2026-10-05T15:00:00Z")
    assert set(found["missed"]) == {"share", "days_missed", "days_kept", "source"}
    asked = ("chance", "bench", "--by", "2026-12-01", "--sources", "--json")
    sources = shell.right(*asked).json["sources"]
    assert list(sources) == ["all_drawn", "held"]
    assert list(sources["all_drawn"]) == ["range_days", "share"]
    assert sources["all_drawn"]["share"] == found["share"]
    assert [sorted(one) for one in sources["held"]] == [["range_days", "share", "source"]] * 3
    assert {one["source"] for one in sources["held"]} == {"drying", "missed days", "weather"}


def test_parts(shell):
    told = shell.right("parts", "bench", "--json").json
    assert told["project"] == "bench"
    slat = told["parts"][0]
    assert (slat["name"], slat["quantity"], slat["length_mm"]) == ("slat", 8, 600.0)
    assert set(slat) == {
        "name",
        "quantity",
        "length_mm",
        "width_mm",
        "thickness_mm",
        "wood",
        "area_m2",
    }
    cuts = shell.file("more.csv", "name,qty,length,width,thickness\nrail,1,1 m,50 mm,20 mm\n")
    more = shell.right("parts", "bench", "--from", cuts, "--preview", "--json").json
    assert (more["kept"], [part["name"] for part in more["parts"]]) == (False, ["rail"])
